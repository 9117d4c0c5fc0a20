// orders.csv as a table that keeps what it does not touch: notes, order of columns, blank lines.

export const COLUMNS = ['order', 'kit', 'size', 'options', 'part', 'count', 'due'] as const
export type Column = (typeof COLUMNS)[number]

export function splitRow(line: string, by = ','): string[] {
  const cells: string[] = []
  let cell = ''
  let quoted = false
  for (let i = 0; i < line.length; i++) {
    const c = line[i]
    if (quoted && c === '"' && line[i + 1] === '"') { cell += '"'; i++ }
    else if (c === '"' && (quoted || cell === '')) quoted = !quoted
    else if (c === by && !quoted) { cells.push(cell); cell = '' }
    else cell += c
  }
  cells.push(cell)
  return cells.map((s) => s.trim())
}
export function joinRow(cells: string[]): string {
  return cells.map((c) => (/[",\n]/.test(c) ? `"${c.replace(/"/g, '""')}"` : c)).join(',')
}

export interface OrderLine { line: number; cells: Record<Column, string> } // line from 1, of the text

function heading(lines: string[]): { at: number; names: string[] } {
  const at = lines.findIndex((l) => l.trim() && !l.trim().startsWith('#'))
  return { at, names: at < 0 ? [...COLUMNS] : splitRow(lines[at]).map((n) => n.toLowerCase()) }
}

export function readOrders(text: string): OrderLine[] {
  const lines = text.split(/\r?\n/)
  const { at, names } = heading(lines)
  if (at < 0) return []
  return lines.flatMap((l, n) => {
    if (n <= at || !l.trim() || l.trim().startsWith('#')) return []
    const cells = splitRow(l)
    return [{ line: n + 1, cells: Object.fromEntries(COLUMNS.map((c) => [c, cells[names.indexOf(c)] ?? ''])) as Record<Column, string> }]
  })
}

/// The text with one cell changed; every other line stays byte for byte.
export function changeCell(text: string, line: number, column: Column, value: string): string {
  const lines = text.split('\n')
  const { names } = heading(lines.map((l) => l.replace(/\r$/, '')))
  const ending = lines[line - 1].endsWith('\r') ? '\r' : ''
  const cells = splitRow(lines[line - 1].replace(/\r$/, ''))
  const at = names.indexOf(column)
  if (at < 0) return text
  while (cells.length < names.length) cells.push('')
  cells[at] = value
  lines[line - 1] = joinRow(cells) + ending
  return lines.join('\n')
}
export function removeLine(text: string, line: number): string {
  return text.split('\n').filter((_, n) => n !== line - 1).join('\n')
}

/// Rows as they come from a spreadsheet or another file: tabs or commas, with or without a heading.
export function readPasted(pasted: string): Record<Column, string>[] {
  const lines = pasted.split(/\r?\n/).filter((l) => l.trim() && !l.trim().startsWith('#'))
  if (!lines.length) return []
  const by = lines[0].includes('\t') ? '\t' : lines[0].includes(';') && !lines[0].includes(',') ? ';' : ','
  const first = splitRow(lines[0], by).map((c) => c.toLowerCase())
  const headed = first.includes('kit') && (first.includes('count') || first.includes('due'))
  const names: string[] = headed ? first : [...COLUMNS]
  return lines.slice(headed ? 1 : 0).map((l) => {
    const cells = splitRow(l, by)
    return Object.fromEntries(COLUMNS.map((c) => [c, cells[names.indexOf(c)] ?? ''])) as Record<Column, string>
  })
}
export function addRows(text: string, rows: Record<Column, string>[]): string {
  const whole = text.trim() ? text : `${COLUMNS.join(',')}\n`
  const lines = whole.split(/\r?\n/)
  const { names } = heading(lines)
  const added = rows.map((r) => joinRow(names.map((n) => r[n as Column] ?? '')))
  return `${whole.replace(/\n*$/, '\n')}${added.join('\n')}\n`
}
