// Where in a kit file the caret is: the keys and list places that lead there. Reads what is typed
// so far, so it goes by indentation and open brackets, and needs no text that is already right.
import type { Path } from '../types'

export interface YamlPlace {
  path: Path // to the mapping or list that the caret is in, and the key when it is at a value
  key: boolean // a key is being typed, otherwise a value
  from: number // where the word under the caret begins
  word: string
}

interface Open { bracket: '{' | '[' | ''; key: string | null; index: number; indent: number }

const KEY = /^([A-Za-z0-9_-]+)\s*:(?=\s|$)/

function uncommented(line: string): string {
  let quote = ''
  for (let i = 0; i < line.length; i++) {
    const c = line[i]
    if (quote) { if (c === quote) quote = '' }
    else if ((c === '"' || c === "'") && /[\s{[:,]|^$/.test(line[i - 1] ?? '')) quote = c
    else if (c === '#' && (i === 0 || /\s/.test(line[i - 1]))) return line.slice(0, i)
  }
  return line
}

/// Puts what one line opens and closes on the stack, up to `till` of its characters.
function walk(line: string, stack: Open[]): void {
  let i = 0
  let top = stack[stack.length - 1]
  if (!top.bracket) i = blockStart(line, stack)
  for (; i < line.length; i++) {
    top = stack[stack.length - 1]
    const c = line[i]
    if (c === '"' || c === "'") { const end = line.indexOf(c, i + 1); if (end < 0) return; i = end; continue }
    if (c === '{' || c === '[') stack.push({ bracket: c, key: null, index: 0, indent: -1 })
    else if ((c === '}' || c === ']') && top.bracket) stack.pop()
    else if (c === ',' && top.bracket === '[') top.index++
    else if (c === ',' && top.bracket === '{') top.key = null
    else if (top.bracket === '{' && /[{,\s]/.test(line[i - 1] ?? ' ')) {
      const k = KEY.exec(line.slice(i))
      if (k) { top.key = k[1]; i += k[0].length - 1 }
    }
  }
}

/// Block keys and dashes at the beginning of a line; answers where the value begins.
function blockStart(line: string, stack: Open[]): number {
  let at = line.length - line.trimStart().length
  if (at === line.length) return at
  while (stack.length > 1 && stack[stack.length - 1].indent >= at && !(stack[stack.length - 1].indent === at && line.slice(at).startsWith('- ') === (stack[stack.length - 1].key === null))) stack.pop()
  for (;;) {
    const rest = line.slice(at)
    let top = stack[stack.length - 1]
    if (/^-(\s|$)/.test(rest)) {
      if (top.indent !== at || top.key !== null) { top = { bracket: '', key: null, index: -1, indent: at }; stack.push(top) }
      top.index++
      at += 1 + (rest.slice(1).length - rest.slice(1).trimStart().length)
      continue
    }
    const k = KEY.exec(rest)
    if (!k) return at
    if (top.indent !== at || top.key === null) stack.push({ bracket: '', key: k[1], index: -2, indent: at })
    else top.key = k[1]
    return at + k[0].length
  }
}

export function yamlPlace(text: string, caret: number): YamlPlace {
  const stack: Open[] = [{ bracket: '', key: '', index: -2, indent: -1 }]
  const lines = text.slice(0, caret).split('\n')
  const last = lines.pop()!
  for (const line of lines) walk(uncommented(line), stack)
  const typed = /[A-Za-z0-9_./-]*$/.exec(last)![0]
  const before = last.slice(0, last.length - typed.length)
  const inFlow = stack[stack.length - 1].bracket !== ''
  if (!inFlow && /^\s*(- )?\s*$/.test(before)) blockStart(`${before}x:`, stack) // as if a key stood here
  else walk(before, stack)
  const top = stack[stack.length - 1]
  let key = false
  if (!top.bracket && /^\s*(- )?\s*$/.test(before)) { key = true; stack[stack.length - 1] = { ...top, key: null, index: -3 } }
  else if (top.bracket === '{' && top.key === null) key = true
  const path: Path = []
  for (const s of stack.slice(1)) {
    if (s.bracket === '[' || (s.bracket === '' && s.index >= 0)) path.push(s.index)
    else if (s.key) path.push(s.key)
  }
  return { path, key, from: caret - typed.length, word: typed }
}
