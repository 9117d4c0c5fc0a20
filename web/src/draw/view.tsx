// A drawing as the program read it: outline, size to check against a tape, layers and what was mended.
import { useEffect, useState } from 'preact/hooks'
import { useCell } from '../cell'
import type { Drawing } from '../types'
import { Fact } from '../ui/parts'
import { inches, lens, system, tape } from '../units'
import { lacksRole, toldSizes } from './layers'
import { boxOf, chords, linePath, outlinePath } from './outline'

export function DrawingView({ name, d }: { name: string; d: Drawing }) {
  useCell(system)
  const [x0, y0, x1, y1] = boxOf(d.outlines.flatMap((o) => chords(o)))
  const pad = Math.max(x1 - x0, y1 - y0, 1) * 0.04
  const area = (o: Drawing['outlines'][0]) => { const [a, b, c, e] = boxOf(chords(o)); return (c - a) * (e - b) }
  const largest = Math.max(...d.outlines.map(area))
  return (
    <div class="stack">
      {d.error && !lacksRole(d) && <p class="told stop">Can't be read{d.error.line ? `: line ${d.error.line}` : ''}: {d.error.text}</p>}
      {d.outlines.length > 0 && (
        <svg class="drawing" viewBox={`${x0 - pad} ${-(y1 + pad)} ${x1 - x0 + 2 * pad} ${y1 - y0 + 2 * pad}`} role="img"
          aria-label={`Outline of ${name}, ${lens(d.size)}`}>
          <path transform="scale(1 -1)" class="steel" fill-rule="evenodd" vector-effect="non-scaling-stroke" d={[...d.outlines].sort((a, b) => area(b) - area(a)).map(outlinePath).join('')} />
          {d.bends.map((b, n) => <path key={n} transform="scale(1 -1)" class="bend-line" vector-effect="non-scaling-stroke" d={linePath([b.from, b.to], false)} />)}
          {d.marks.map((m, n) => <path key={n} transform="scale(1 -1)" class="mark-line" vector-effect="non-scaling-stroke" d={linePath(chords(m), false)} />)}
        </svg>
      )}
      {d.outlines.length > 0 && <><dl class="facts">
        <Fact name="Size, left to right by front to back">{lens(d.size)}</Fact>
        <Fact name="Outlines">{d.outlines.filter((o) => area(o) >= largest * 0.999).length} outer, {d.outlines.filter((o) => area(o) < largest * 0.999).length} inside</Fact>
        <Fact name="Ends joined">{d.joined}</Fact>
        <Fact name="Bend lines">{d.bends.length}</Fact>
        <Fact name="Unit">{d.units}{d.units_said ? ', as the drawing says' : ', taken: the drawing does not say'}</Fact>
        <Fact name="Left out">{d.dropped}</Fact>
      </dl>
      <SizeCheck name={name} size={d.size} /></>}
    </div>
  )
}

/// The size is told once by the person who measured: a wrong scale can't pass.
function SizeCheck({ name, size }: { name: string; size: [number, number] }) {
  const [said, say] = useState(toldSizes.get(name) ?? '')
  const numbers = said.split(/x|by/i).map((s) => lengthOf(s))
  const known = numbers.length === 2 && numbers.every((v) => v !== null)
  const off = known ? Math.max(Math.abs(numbers[0]! - size[0]), Math.abs(numbers[1]! - size[1])) : 0
  useEffect(() => { // it goes into the part that is made of the drawing
    if (known && off < 0.8) toldSizes.set(name, /(in|mm)/.test(said) ? said.trim() : said.split(/x|by/i).map((s) => `${s.trim()} ${inches() ? 'in' : 'mm'}`).join(' x '))
    else toldSizes.delete(name)
  }, [said, size.join()])
  const factor = known ? size[0] / numbers[0]! : 1
  return (
    <div class="row bottom">
      <label class="field">Should measure ({inches() ? `such as ${tape(size[0])} x ${tape(size[1])}` : 'such as 508 x 355.6'})
        <input value={said} size={16} onInput={(ev) => say(ev.currentTarget.value)} />
      </label>
      <p role="status" class={known ? (off < 0.8 ? 'good' : 'told stop') : 'small'}>
        {!known ? `Two lengths in ${inches() ? 'inches' : 'mm'}. They are written beside the part, so that a wrong scale can't pass.`
          : off < 0.8 ? `It does: within ${lens([0.8])}.`
            : `It measures ${lens(size)}${Math.abs(factor - 25.4) < 0.3 || Math.abs(factor - 1 / 25.4) < 0.001 ? ': inches and millimetres are mixed up' : ''}.`}
      </p>
    </div>
  )
}
function lengthOf(text: string): number | null {
  const m = /^\s*(?:(\d+(?:\.\d+)?)(?:[-\s](\d+)\/(\d+))?|(\d+)\/(\d+))\s*(in|mm)?\s*$/.exec(text)
  if (!m) return null
  const v = m[4] ? Number(m[4]) / Number(m[5]) : Number(m[1]) + (m[2] ? Number(m[2]) / Number(m[3]) : 0)
  return v > 0 && Number.isFinite(v) ? v * ((m[6] ?? (inches() ? 'in' : 'mm')) === 'in' ? 25.4 : 1) : null
}
