// Outlines of lines and arcs as paths for SVG. A bulge is the tangent of a quarter of the sweep.
import type { Corner, Point } from '../types'

const n = (v: number) => String(Math.round(v * 1000) / 1000)

export function outlinePath(corners: Corner[]): string {
  if (corners.length < 2) return ''
  let d = `M${n(corners[0][0])} ${n(corners[0][1])}`
  corners.forEach(([x, y, bulge], i) => {
    const [X, Y] = corners[(i + 1) % corners.length]
    if (!bulge) { d += `L${n(X)} ${n(Y)}`; return }
    const r = (Math.hypot(X - x, Y - y) * (1 + bulge * bulge)) / (4 * Math.abs(bulge))
    d += `A${n(r)} ${n(r)} 0 ${Math.abs(bulge) > 1 ? 1 : 0} ${bulge > 0 ? 1 : 0} ${n(X)} ${n(Y)}`
  })
  return `${d}Z`
}
export function linePath(points: Point[], closed: boolean): string {
  return points.map(([x, y], i) => `${i ? 'L' : 'M'}${n(x)} ${n(y)}`).join('') + (closed ? 'Z' : '')
}
/// Arcs as chords of at most `step` radians: for canvas and for boxes.
export function chords(corners: Corner[], step = 0.2): Point[] {
  const out: Point[] = []
  corners.forEach(([x, y, bulge], i) => {
    out.push([x, y])
    if (!bulge) return
    const [X, Y] = corners[(i + 1) % corners.length]
    const sweep = 4 * Math.atan(bulge)
    const cx = (x + X) / 2 - ((Y - y) * (1 - bulge * bulge)) / (4 * bulge)
    const cy = (y + Y) / 2 + ((X - x) * (1 - bulge * bulge)) / (4 * bulge)
    const count = Math.max(1, Math.ceil(Math.abs(sweep) / step))
    const a0 = Math.atan2(y - cy, x - cx), r = Math.hypot(x - cx, y - cy)
    for (let k = 1; k < count; k++) out.push([cx + r * Math.cos(a0 + (sweep * k) / count), cy + r * Math.sin(a0 + (sweep * k) / count)])
  })
  return out
}
export function boxOf(points: Iterable<readonly number[]>): [number, number, number, number] {
  let [a, b, c, d] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const [x, y] of points) { a = Math.min(a, x); b = Math.min(b, y); c = Math.max(c, x); d = Math.max(d, y) }
  return [a, b, c, d]
}
