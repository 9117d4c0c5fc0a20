// What is known of one part: sizes, blank, mass, and its bends in a table.
import { go, to } from '../place'
import type { Part, Path, Size } from '../types'
import { Fact, Wide } from '../ui/parts'
import { shop } from '../api'
import { useCell } from '../cell'
import { stocks } from './stock'
import { angle, area, len, lens, mass, taped, worded } from '../units'

export function PartFacts({ part, kit, alone, units, touch, change, sized }: { part: Part; kit: string; alone: boolean; units: string; touch: (s: Size) => void; change?: (path: Path, value: string) => void; sized?: boolean }) {
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
      {alone && change && <Made key={part.part} part={part} change={change} counted={part.each > 0 && !sized} />}
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

/// What it is made of and how many a kit takes: written at once, like a size. In a kit of several
/// sizes the count may be a sum in the text, which stays as it is.
function Made({ part, change, counted }: { part: Part; change: (path: Path, value: string) => void; counted: boolean }) {
  const folder = useCell(shop)!
  const of = stocks(part.kind === 'sheet' ? folder.sheets : folder.sticks, false)
  return (
    <div class="row bottom no-print">
      <label class="field">Made of
        <select value={part.material} onChange={(ev) => change([...part.path, 'from'], ev.currentTarget.value)}>
          {(of.includes(part.material) ? of : [part.material, ...of]).map((s) => <option key={s} value={s}>{s}</option>)}
        </select>
      </label>
      {counted && (
        <label class="field">In each kit
          <input type="number" min={1} max={1000} size={5} value={part.each} onChange={(ev) => { const n = Math.round(Number(ev.currentTarget.value)); if (n > 0 && n !== part.each) change([...part.path, 'per_kit'], String(n)) }} />
        </label>
      )}
    </div>
  )
}
