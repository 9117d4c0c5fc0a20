// Findings: what can't or shouldn't be made, said first, with what would mend it.
import type { Finding, Level } from '../types'
import { useState } from 'preact/hooks'
import { inUnit } from '../units'
import { Sign } from './sign'
import type { Signature } from './sign'

const words: Record<Level, string> = { stop: 'Stop', risk: 'Risk', note: 'Note' }
const order: Level[] = ['stop', 'risk', 'note']

/// Shape and word, not colour alone.
export function Badge({ level, number, signed }: { level: Level; number?: number; signed?: boolean }) {
  return (
    <span class={`badge ${level}`}>
      <svg viewBox="0 0 20 20" aria-hidden="true">
        {level === 'stop' && <path d="M6 1h8l5 5v8l-5 5H6l-5-5V6z" />}
        {level === 'risk' && <path d="M10 1l9.5 17.5H.5z" />}
        {level === 'note' && <circle cx="10" cy="10" r="9" />}
      </svg>
      {words[level]}{number === undefined ? '' : ` ${number}`}{signed ? ', signed' : ''}
    </span>
  )
}

export function sorted(findings: Finding[]): Finding[] {
  return [...findings].sort((a, b) => order.indexOf(a.level) - order.indexOf(b.level))
}

export function tally(findings: Finding[]): string {
  const n = (l: Level) => findings.filter((f) => f.level === l).length
  const signed = findings.filter((f) => f.level === 'risk' && f.signed).length
  const said = order.filter((l) => n(l)).map((l) => `${n(l)} ${l}${n(l) > 1 ? 's' : ''}${l === 'risk' && signed ? ` (${signed} signed)` : ''}`)
  return said.length ? said.join(', ') : 'nothing found'
}

export interface Way { says: string; act: () => void }

/// `sign`: risks can be signed here; gives what went wrong, or null.
export function FindingList(p: { findings: Finding[]; links?: (f: Finding) => Way[]; none?: string; sign?: (f: Finding, s: Signature) => Promise<string | null> }) {
  const [signing, begin] = useState<Finding | null>(null)
  if (!p.findings.length) return <p class="good">{p.none ?? 'Nothing found: the shop can make it all.'}</p>
  return (
    <>
    <ol class="findings">
      {sorted(p.findings).map((f, i) => (
        <li key={i} class={`${f.level}${f.signed ? ' signed' : ''}`}>
          <p><Badge level={f.level} number={i + 1} /> <strong>{f.part ? `${f.kit}/${f.part}` : f.kit}</strong></p>
          <p>{f.says}</p>
          {f.fix && <p class="fix">Would mend it: {f.fix}</p>}
          {f.signed && <p class="good">Signed: {f.signed}</p>}
          <p class="small">
            {f.unit && f.limit !== 0 ? `${inUnit(f.measured, f.unit)} against ${inUnit(f.limit, f.unit)}. ` : ''}
            {f.where ? `${f.where.file}, line ${f.where.line}` : ''}
          </p>
          {(p.links || p.sign) && (
            <p class="row no-print">
              {p.sign && f.level === 'risk' && !f.signed && f.kit && <button class="plain" aria-label={`Sign it: ${f.level} ${i + 1}`} onClick={() => begin(f)}>Sign it</button>}
              {p.links?.(f).map((l) => <button key={l.says} class="plain" aria-label={`${l.says}: ${f.level} ${i + 1}`} onClick={l.act}>{l.says}</button>)}
            </p>
          )}
        </li>
      ))}
    </ol>
    {signing && <Sign finding={signing} sign={(s) => p.sign!(signing, s)} close={() => begin(null)} />}
    </>
  )
}
