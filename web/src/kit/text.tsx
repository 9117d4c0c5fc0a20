// The back of the picture: the kit file's own text.
import { useEffect, useRef, useState } from 'preact/hooks'
import { api, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { go } from '../place'
import { FindingList } from '../ui/findings'
import { KitEditor } from './editor'
import type { Schema } from './schema'
import type { KitState } from './state'

export function TextSide({ state, line, kit }: { state: KitState; line: number; kit: string }) {
  const host = useRef<HTMLDivElement>(null)
  const editor = useRef<KitEditor | null>(null)
  const now = useRef(state)
  now.current = state
  const [caret, setCaret] = useState({ line: 1, help: '' })
  const folder = useCell(shop)!
  const schema = useLoad('schema kit', () => api.schema('kit'))
  const { look } = state

  useEffect(() => {
    const e = new KitEditor(host.current!, now.current.draft, `Text of kits/${kit}.yaml`, {
      typed: (text) => now.current.type(text),
      caret: (l, help) => setCaret({ line: l, help }),
      save: () => { if (now.current.dirty) void now.current.save() },
    })
    editor.current = e
    return () => { e.close(); editor.current = null }
  }, [kit])
  useEffect(() => { editor.current?.replace(state.draft) }, [state.loaded])
  useEffect(() => { if (look) editor.current?.mark(look) }, [look])
  useEffect(() => { if (line) editor.current?.goTo(line) }, [line])
  useEffect(() => {
    if (schema.data) editor.current?.teach(schema.data as Schema, look?.parts.map((p) => p.part) ?? [], [...folder.sheets, ...folder.sticks].filter((s, n, all) => all.indexOf(s) === n))
  }, [schema.data, look?.parts, folder.sheets])

  const part = look && [...look.parts].filter((p) => p.line > 0 && p.line <= caret.line).sort((a, b) => b.line - a.line)[0]
  return (
    <div class="text-side">
      <div class="row spread">
        <p class="small">kits/{kit}.yaml, line {caret.line}. Ctrl+Space completes, Ctrl+S writes, Escape then Tab leaves the text.</p>
        {part && <button class="plain" onClick={() => go('kits', kit, 'part', part.part)}>Show {part.part} on the picture</button>}
      </div>
      <div class="editor" ref={host} />
      <p class="help told" aria-live="polite">{caret.help || 'Help for the key under the caret stands here.'}</p>
      {look?.error && <p class="told stop" role="alert"><button class="plain" onClick={() => editor.current?.goTo(look.error!.line)}>Line {look.error.line}</button> {look.error.text}</p>}
      {look && <FindingList findings={look.findings} sign={state.dirty ? undefined : (_, s) => state.sign(s)} links={(f) => [
        ...(f.where ? [{ says: `Line ${f.where.line}`, act: () => editor.current?.goTo(f.where!.line) }] : []),
        ...(f.part ? [{ says: `Show ${f.part} on the picture`, act: () => go('kits', kit, 'part', f.part!) }] : []),
      ]} />}
    </div>
  )
}
