// Findings: what can't or shouldn't be made, said first, with what would mend it.
import type { Finding, Level } from '../types'
import { inUnit } from '../units'

const words: Record<Level, string> = { stop: 'Stop', risk: 'Risk', note: 'Note' }
const order: Level[] = ['stop', 'risk', 'note']

/// Shape and word, not colour alone.
export function Badge({ level, number }: { level: Level; number?: number }) {
  return (
    <span class={`badge ${level}`}>
      <svg viewBox="0 0 20 20" aria-hidden="true">
        {level === 'stop' && <path d="M6 1h8l5 5v8l-5 5H6l-5-5V6z" />}
        {level === 'risk' && <path d="M10 1l9.5 17.5H.5z" />}
        {level === 'note' && <circle cx="10" cy="10" r="9" />}
      </svg>
      {words[level]}{number === undefined ? '' : ` ${number}`}
    </span>
  )
}

export function sorted(findings: Finding[]): Finding[] {
  return [...findings].sort((a, b) => order.indexOf(a.level) - order.indexOf(b.level))
}

export function tally(findings: Finding[]): string {
  const n = (l: Level) => findings.filter((f) => f.level === l).length
  const said = order.filter((l) => n(l)).map((l) => `${n(l)} ${l}${n(l) > 1 ? 's' : ''}`)
  return said.length ? said.join(', ') : 'nothing found'
}

export function FindingList(p: { findings: Finding[]; links?: (f: Finding) => { says: string; act: () => void }[]; none?: string }) {
  if (!p.findings.length) return <p class="good">{p.none ?? 'Nothing found: the shop can make it all.'}</p>
  return (
    <ol class="findings">
      {sorted(p.findings).map((f, i) => (
        <li key={i} class={f.level}>
          <p><Badge level={f.level} number={i + 1} /> <strong>{f.part ? `${f.kit}/${f.part}` : f.kit}</strong></p>
          <p>{f.says}</p>
          {f.fix && <p class="fix">Would mend it: {f.fix}</p>}
          <p class="small">
            {f.unit && f.limit !== 0 ? `${inUnit(f.measured, f.unit)} against ${inUnit(f.limit, f.unit)}` : ''}
            {f.signed ? ' Signed.' : ''}
            {f.where ? ` ${f.where.file}, line ${f.where.line}` : ''}
          </p>
          {p.links && <p class="row no-print">{p.links(f).map((l) => <button key={l.says} class="plain" onClick={l.act}>{l.says}</button>)}</p>}
        </li>
      ))}
    </ol>
  )
}
