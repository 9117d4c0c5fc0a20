// A carton filled layer by layer, the bottom first.
import { useMemo, useState } from 'preact/hooks'
import { to } from '../place'
import type { Carton, CartonPart, Point3 } from '../types'
import { Empty, Fact, Pick, Slide, Wide } from '../ui/parts'
import { lens, mass, taped } from '../units'
import type { SectionProps } from './run'

export function Cartons({ run, name, item }: SectionProps) {
  if (!run.cartons.length) return <Empty says="This run packs no carton." />
  const at = Math.min(run.cartons.length - 1, Math.max(0, Number(item ?? 1) - 1 || 0))
  return (
    <div class="stack">
      <Pick label="Cartons" now={String(at)} of={run.cartons.map((c, n) => ({ key: String(n), says: `${c.kit}${c.of > 1 ? ` ${c.box} of ${c.of}` : ''}`, href: to('week', name, 'cartons', String(n + 1)) }))} />
      <CartonView key={at} carton={run.cartons[at]} />
    </div>
  )
}

/// Parts in the order in which they are laid: by the height at which they rest.
export function layers(parts: CartonPart[]): CartonPart[][] {
  const sortedParts = [...parts].sort((a, b) => a.at[2] - b.at[2])
  const out: CartonPart[][] = []
  for (const p of sortedParts) {
    const last = out[out.length - 1]
    if (last && p.at[2] - last[0].at[2] < 1) last.push(p)
    else out.push([p])
  }
  return out
}

const C = Math.cos(Math.PI / 6)
function flat([x, y, z]: Point3): [number, number] { return [(x - y) * C, (x + y) * -0.5 - z] }
function face(points: Point3[]): string { return points.map((p) => flat(p).map((v) => v.toFixed(1)).join(',')).join(' ') }
function facesOf({ at: [x, y, z], size: [l, w, h] }: { at: Point3; size: Point3 }): Point3[][] {
  const [X, Y, Z] = [x + l, y + w, z + h]
  return [[[x, y, Z], [X, y, Z], [X, Y, Z], [x, Y, Z]], [[x, y, z], [X, y, z], [X, y, Z], [x, y, Z]], [[x, y, z], [x, Y, z], [x, Y, Z], [x, y, Z]]]
}

function CartonView({ carton }: { carton: Carton }) {
  const all = useMemo(() => layers(carton.parts), [carton])
  const [shown, show] = useState(all.length)
  const size = [0, 1, 2].map((a) => Math.max(...carton.parts.map((p) => p.at[a] + p.size[a]))) as Point3
  const corners = facesOf({ at: [0, 0, 0], size }).flat().concat([[size[0], size[1], 0]])
  const xs = corners.map((c) => flat(c)[0]), ys = corners.map((c) => flat(c)[1])
  const seen = all.slice(0, shown).flatMap((l, n) => [...l].sort((a, b) => (b.at[0] + b.at[1]) - (a.at[0] + a.at[1])).map((p) => ({ p, now: n === shown - 1 })))
  const pad = 20
  const layer = all[shown - 1] ?? []
  return (
    <section class="stack" aria-label={`Carton ${carton.carton}`}>
      <dl class="facts figures">
        <Fact name="Carton">{carton.carton}, box {carton.box} of {carton.of}</Fact>
        <Fact name="Gross mass" bad={carton.gross_mass > 22.68}>{mass(carton.gross_mass)}{carton.gross_mass > 22.68 ? ': two people' : ''}</Fact>
        <Fact name="Billed mass">{mass(carton.billable_mass)}</Fact>
        <Fact name="Length and girth">{taped(carton.length_girth)}</Fact>
        <Fact name="Filled">{lens(size)}</Fact>
      </dl>
      <svg class="carton-view" role="img" aria-label={`${carton.carton} filled up to layer ${shown} of ${all.length}`}
        viewBox={`${Math.min(...xs) - pad} ${Math.min(...ys) - pad} ${Math.max(...xs) - Math.min(...xs) + 2 * pad} ${Math.max(...ys) - Math.min(...ys) + 2 * pad}`}>
        <polygon class="wall" points={face([[0, 0, 0], [size[0], 0, 0], [size[0], size[1], 0], [0, size[1], 0]])} />
        {seen.map(({ p, now }, n) => facesOf(p).map((f, k) => <polygon key={`${n} ${k}`} class={`${now ? 'now' : 'below'} face-${k}`} points={face(f)} />))}
        <polygon class="wall" points={face([[0, 0, size[2]], [size[0], 0, size[2]], [size[0], size[1], size[2]], [0, size[1], size[2]]])} />
      </svg>
      <div class="no-print"><Slide label="Layer" from="bottom" till="top" value={shown} max={all.length} step={1} says={shown ? `${shown} of ${all.length}` : 'empty'} set={show} /></div>
      <Wide label="This layer">
        <table><caption class="unseen">What lies in layer {shown}</caption>
          <thead><tr><th>Layer {shown}: part</th><th class="number">Count</th><th class="number">Size as it lies</th><th class="number">From the left</th><th class="number">From the front</th><th class="number">Up</th></tr></thead>
          <tbody>{layer.map((p, n) => <tr key={n}><td>{p.part}</td><td class="number">{p.count}</td><td class="number">{lens(p.size)}</td>{p.at.map((v, k) => <td key={k} class="number">{taped(v)}</td>)}</tr>)}</tbody>
        </table>
      </Wide>
    </section>
  )
}
