// Saw list: each stick with its pieces, as it lies in the saw.
import type { SectionProps } from './run'
import { Empty, Wide } from '../ui/parts'
import { inches, len, taped } from '../units'

export function Saw({ run }: SectionProps) {
  if (!run.sticks.length) return <Empty says="This run saws nothing." />
  return (
    <div class="stack">
      {run.sticks.map((s, n) => {
        const groups: { part: string; length: number; count: number }[] = []
        for (const p of s.pieces) {
          const last = groups[groups.length - 1]
          if (last && last.part === p.part && Math.abs(last.length - p.length) < 1e-6) last.count++
          else groups.push({ ...p, count: 1 })
        }
        return (
          <section class="panel stack" key={n} aria-label={`Stick ${n + 1}`}>
            <h2>{s.stock}, {taped(s.length)} stick{s.times > 1 ? `, ${s.times} alike: saw them in a bundle` : ''}</h2>
            <div class="stick-bar" aria-hidden="true">
              {s.pieces.map((p, k) => <span key={k} title={p.part} style={{ flexGrow: p.length, flexBasis: 0 }} />)}
              <span class="left" style={{ flexGrow: s.leftover, flexBasis: 0 }} />
            </div>
            <Wide label={`Pieces of stick ${n + 1}`}>
              <table><caption class="unseen">Pieces of stick {n + 1}</caption>
                <thead><tr><th>Piece</th><th class="number">Count</th><th class="number">Stop at{inches() ? ', nearest 1/64' : ''}</th>{inches() && <th class="number">Decimal</th>}</tr></thead>
                <tbody>{groups.map((g, k) => <tr key={k}><td>{g.part}</td><td class="number">{g.count * s.times}</td><td class="number">{taped(g.length)}</td>{inches() && <td class="number">{len(g.length)}</td>}</tr>)}</tbody>
              </table>
            </Wide>
            <p class="small">Trim {len(s.trim)} first, kerf {len(s.kerf)}. Left over: {taped(s.leftover)}.</p>
          </section>
        )
      })}
    </div>
  )
}
