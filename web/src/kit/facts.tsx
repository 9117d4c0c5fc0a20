// What is known of one part: sizes, blank, mass, and its bends in a table.
import { go, to } from '../place'
import type { Part, Size } from '../types'
import { Fact, Wide } from '../ui/parts'
import { angle, area, len, lens, mass, taped, worded } from '../units'

export function PartFacts({ part, kit, alone, units, touch }: { part: Part; kit: string; alone: boolean; units: string; touch: (s: Size) => void }) {
  return (
    <section class="panel stack" aria-label={`Part ${part.part}`}>
      <div class="row spread">
        <h2>{part.part} <span class="small">{part.count} a kit, {part.material}</span></h2>
        <p class="row no-print">
          {!alone && <a class="button" href={to('kits', kit, 'part', part.part)}>Look at it alone</a>}
          {alone && <a class="button plain" href={to('kits', kit)}>Back to the kit</a>}
          <a class="button plain" href={to('kits', kit, 'text', String(part.line))}>Line {part.line} of the text</a>
        </p>
      </div>
      <dl class="facts">
        <Fact name="Finished, outside">{lens(part.size)}</Fact>
        {part.blank && <Fact name="Blank">{lens(part.blank)}</Fact>}
        <Fact name="Thickness">{len(part.thickness)}</Fact>
        <Fact name="Mass of one">{mass(part.mass)}</Fact>
        {part.area !== undefined && <Fact name="Area of the blank">{area(part.area)}</Fact>}
        {part.holes !== undefined && <Fact name="Holes">{part.holes}</Fact>}
      </dl>
      {alone && part.sizes.length > 0 && (
        <details class="no-print">
          <summary>All {part.sizes.length} sizes, to change by the keyboard</summary>
          <ul class="row list">
            {part.sizes.map((s) => (
              <li key={s.says}><button class="plain" onClick={() => touch(s)}>{s.says}: {worded(s.value, s.kind, units)}</button></li>
            ))}
          </ul>
        </details>
      )}
      {alone && part.bends.length > 0 && (
        <Wide label="Bends">
          <table>
            <caption class="unseen">Bends of {part.part}</caption>
            <thead><tr><th>Bend</th><th class="number">Turned from flat</th><th class="number">Inside radius</th><th class="number">{part.kind === 'sheet' ? 'Length of the line' : 'Straight before it'}</th><th class="no-print">In the text</th></tr></thead>
            <tbody>
              {part.bends.map((b) => (
                <tr key={b.id}>
                  <td>{b.id}{b.toward ? `, ${b.toward}` : ''}</td><td class="number">{angle(b.angle)}</td><td class="number">{len(b.radius)}</td>
                  <td class="number">{b.from && b.to ? taped(Math.hypot(b.to[0] - b.from[0], b.to[1] - b.from[1])) : b.straight === undefined ? '-' : taped(b.straight)}</td>
                  <td class="no-print">{b.line ? <button class="plain" onClick={() => go('kits', kit, 'text', String(b.line))}>Line {b.line}</button> : ''}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
    </section>
  )
}
