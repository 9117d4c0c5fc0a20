// The text of a kit: CodeMirror in a shadow root, so that its styles need no inline style element.
import { autocompletion, completionKeymap } from '@codemirror/autocomplete'
import type { Completion, CompletionContext } from '@codemirror/autocomplete'
import { defaultKeymap, history, historyKeymap, indentWithTab } from '@codemirror/commands'
import { HighlightStyle, bracketMatching, indentOnInput, syntaxHighlighting } from '@codemirror/language'
import { yaml } from '@codemirror/lang-yaml'
import { lintGutter, setDiagnostics } from '@codemirror/lint'
import type { Diagnostic } from '@codemirror/lint'
import { highlightSelectionMatches, search, searchKeymap } from '@codemirror/search'
import { EditorState } from '@codemirror/state'
import type { Text } from '@codemirror/state'
import { EditorView, drawSelection, highlightActiveLine, hoverTooltip, keymap, lineNumbers } from '@codemirror/view'
import { tags as t } from '@lezer/highlight'
import type { FileError, Finding, Look } from '../types'
import { at, keysAt, meaning, wordsAt } from './schema'
import type { Schema } from './schema'
import { yamlPlace } from './yaml-place'

export interface EditorHooks {
  typed: (text: string) => void
  caret: (line: number, help: string) => void
  save: () => void
}

const colours = HighlightStyle.define([
  { tag: [t.propertyName, t.definition(t.propertyName)], color: 'var(--accent)', fontWeight: '600' },
  { tag: t.comment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: [t.string, t.content], color: 'var(--ink)' },
  { tag: [t.punctuation, t.separator, t.squareBracket, t.brace], color: 'var(--soft)' },
])
const look = EditorView.theme({
  '&': { fontSize: '16px', backgroundColor: 'var(--field)', color: 'var(--ink)', minHeight: '24rem', maxHeight: '68vh' },
  '.cm-scroller': { fontFamily: "'DejaVu Sans Mono', monospace", lineHeight: '1.6', overflow: 'auto' },
  '.cm-content': { caretColor: 'var(--ink)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)', borderLeftWidth: '2px' },
  '.cm-gutters': { backgroundColor: 'var(--paper)', color: 'var(--soft)', border: 'none' },
  '.cm-activeLine, .cm-activeLineGutter': { backgroundColor: 'var(--accent-soft)' },
  '&.cm-focused .cm-selectionBackground, .cm-selectionBackground': { backgroundColor: 'color-mix(in srgb, var(--accent) 35%, transparent) !important' },
  '.cm-tooltip': { backgroundColor: 'var(--panel)', color: 'var(--ink)', border: '2px solid var(--line)', borderRadius: '8px', padding: '0.3rem 0.6rem', maxWidth: '34rem' },
  '.cm-tooltip-autocomplete > ul > li': { padding: '0.5rem 0.6rem !important' },
  '.cm-tooltip-autocomplete > ul > li[aria-selected]': { backgroundColor: 'var(--accent) !important', color: 'var(--on-accent) !important' },
  '.cm-lintRange-error, .cm-lintRange-warning, .cm-lintRange-info': { backgroundImage: 'none', textDecorationLine: 'underline', textDecorationStyle: 'wavy', textDecorationThickness: '2px', textUnderlineOffset: '4px' },
  '.cm-lintRange-error': { textDecorationColor: 'var(--stop)' },
  '.cm-lintRange-warning': { textDecorationColor: 'var(--risk)' },
  '.cm-lintRange-info': { textDecorationColor: 'var(--note)' },
  '.cm-diagnostic': { padding: '0.3rem 0.6rem' },
})

/// Line and column (from 1) of a finding to the end of the value that stands there.
function range(doc: Text, line: number, column: number): { from: number; to: number } {
  const l = doc.line(Math.min(Math.max(1, line), doc.lines))
  const from = Math.min(l.to, l.from + Math.max(0, column - 1))
  const rest = /^[^,{}[\]#\n]*/.exec(doc.sliceString(from, l.to))![0].trimEnd()
  const to = rest.length ? from + rest.length : Math.min(l.to, from + 1)
  return to > from ? { from, to } : { from: Math.max(l.from, to - 1), to }
}
function diagnostics(doc: Text, error: FileError | null, findings: Finding[], file: string): Diagnostic[] {
  const own = findings.filter((f) => f.where && f.where.line > 0 && f.where.file.endsWith(file))
  const list: Diagnostic[] = own.map((f) => ({
    ...range(doc, f.where!.line, f.where!.column), message: `${f.says}${f.fix ? `\nWould mend it: ${f.fix}` : ''}`,
    severity: f.level === 'stop' ? 'error' : f.level === 'risk' ? 'warning' : 'info',
  }))
  if (error) list.push({ ...range(doc, error.line, error.column), message: error.text, severity: 'error' })
  return list.sort((a, b) => a.from - b.from)
}

export class KitEditor {
  readonly view: EditorView
  private schema: Schema | null = null
  private names: { parts: string[]; materials: string[] } = { parts: [], materials: [] }
  private quiet = false

  constructor(host: HTMLElement, text: string, name: string, private hooks: EditorHooks) {
    const root = host.shadowRoot ?? host.attachShadow({ mode: 'open' })
    root.textContent = ''
    this.view = new EditorView({
      root, parent: root as unknown as Element,
      state: EditorState.create({
        doc: text,
        extensions: [
          lineNumbers(), lintGutter(), history(), drawSelection(), indentOnInput(), bracketMatching(), highlightActiveLine(), highlightSelectionMatches(),
          search({ top: true }), yaml(), syntaxHighlighting(colours), look, EditorView.lineWrapping,
          EditorState.tabSize.of(2),
          autocompletion({ override: [(c) => this.complete(c)], icons: false }),
          hoverTooltip((_, pos) => this.hover(pos)),
          keymap.of([{ key: 'Mod-s', run: () => { this.hooks.save(); return true }, preventDefault: true },
            { key: 'Escape', run: (v) => { v.contentDOM.blur(); return false } },
            ...completionKeymap, ...searchKeymap, ...historyKeymap, ...defaultKeymap, indentWithTab]),
          EditorView.contentAttributes.of({ 'aria-label': name, spellcheck: 'false', tabindex: '0' }),
          EditorView.updateListener.of((u) => {
            if (u.docChanged && !this.quiet) this.hooks.typed(u.state.doc.toString())
            if (u.selectionSet || u.docChanged) this.tellCaret()
          }),
        ],
      }),
    })
  }

  teach(schema: Schema, parts: string[], materials: string[]): void {
    this.schema = schema
    this.names = { parts, materials }
    this.tellCaret()
  }
  /// What is in the file now, without losing the caret; not taken for something typed.
  replace(text: string): void {
    if (text === this.view.state.doc.toString()) return
    this.quiet = true
    const head = Math.min(text.length, this.view.state.selection.main.head)
    this.view.dispatch({ changes: { from: 0, to: this.view.state.doc.length, insert: text }, selection: { anchor: head } })
    this.quiet = false
  }
  mark(l: Look): void {
    const { state } = this.view
    this.view.dispatch(setDiagnostics(state, diagnostics(state.doc, l.error, l.findings, `${l.kit}.yaml`)))
  }
  goTo(line: number): void {
    const { doc } = this.view.state
    const at = doc.line(Math.min(Math.max(1, line), doc.lines))
    this.view.dispatch({ selection: { anchor: at.from + (at.text.length - at.text.trimStart().length) }, effects: EditorView.scrollIntoView(at.from, { y: 'center' }) })
    this.view.focus()
  }
  close(): void { this.view.destroy() }

  private help(pos: number): string {
    if (!this.schema) return ''
    const line = this.view.state.doc.lineAt(pos)
    const end = pos + /^[A-Za-z0-9_-]*/.exec(line.text.slice(pos - line.from))![0].length
    const place = yamlPlace(this.view.state.doc.toString(), end)
    const path = place.key && place.word ? [...place.path, place.word] : place.path
    const says = meaning(at(this.schema, path))
    return says && path.length ? `${path.join(' / ')}: ${says}` : says
  }
  private tellCaret(): void {
    const head = this.view.state.selection.main.head
    this.hooks.caret(this.view.state.doc.lineAt(head).number, this.help(head))
  }
  private hover(pos: number) {
    const says = this.help(pos)
    if (!says) return null
    return { pos, above: true, create: () => { const dom = document.createElement('div'); dom.textContent = says; return { dom } } }
  }
  private complete(c: CompletionContext) {
    if (!this.schema) return null
    const place = yamlPlace(c.state.doc.toString(), c.pos)
    if (!place.word && !c.explicit) return null
    const last = place.path[place.path.length - 1]
    const list: Completion[] = place.key
      ? keysAt(this.schema, place.path).map((k) => ({ label: k.says, info: k.help, apply: `${k.says}: ` }))
      : [...wordsAt(this.schema, place.path).map((w) => w.says), ...(last === 'from' ? this.names.materials : []),
        ...(['part', 'onto'].includes(String(last)) ? this.names.parts : [])].map((label) => ({ label }))
    return list.length ? { from: place.from, options: list, validFor: /^[A-Za-z0-9_-]*$/ } : null
  }
}
