// All parts of the kit as large cards.
import { to } from '../place'
import type { Look } from '../types'
import { Badge, sorted } from '../ui/findings'
import { lens } from '../units'

export function Parts({ look, kit, now }: { look: Look; kit: string; now: string | null }) {
  return (
    <section class="stack" aria-labelledby="parts">
      <h2 id="parts">Parts</h2>
      <ul class="cards small-cards">
        {look.parts.map((p) => {
          const worst = sorted(look.findings.filter((f) => f.part === p.part))[0]
          return (
            <li key={p.part}>
              <a class="card" href={to('kits', kit, 'part', p.part)} aria-current={p.part === now ? 'true' : undefined}>
                <h3>{p.part} <span class="small">x {p.count}</span></h3>
                <p class="small">{p.material}</p>
                <p class="small">{p.form && !p.stale ? lens(p.size) : "can't be folded"}{p.form && !p.stale && !p.makeable ? ', not makeable here' : ''}</p>
                {worst && <Badge level={worst.level} signed={!!worst.signed} />}
              </a>
            </li>
          )
        })}
      </ul>
    </section>
  )
}
