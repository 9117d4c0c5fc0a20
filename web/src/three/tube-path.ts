// A tube on its bender: where its centreline runs at any moment of the work. The die stands at the
// origin, the stick lies along x and comes from the left (-x); bends turn towards +y.
import { Matrix4, Vector3 } from 'three'
import type { Tube } from '../types'

export interface Moment { bend: number; act: 'feed' | 'turn' | 'bend' | 'done'; part: number }

/// Points of the centreline from the start of the tube to its clamped end.
export function tubeAt(tube: Tube, m: Moment): Vector3[] {
  const ahead: Vector3[] = []
  const frame = new Matrix4()
  const point = () => new Vector3().setFromMatrixPosition(frame)
  const forward = (d: number) => frame.multiply(new Matrix4().makeTranslation(d, 0, 0))
  const roll = (deg: number) => frame.multiply(new Matrix4().makeRotationX((-deg * Math.PI) / 180))
  const curve = (deg: number, radius: number) => {
    const steps = Math.max(1, Math.ceil(Math.abs(deg) / 4))
    for (let k = 0; k < steps; k++) {
      const a = ((deg / steps) * Math.PI) / 180
      frame.multiply(new Matrix4().makeTranslation(radius * Math.sin(a), radius * (1 - Math.cos(a)), 0)).multiply(new Matrix4().makeRotationZ(a))
      ahead.push(point())
    }
  }
  const now = tube.bends[m.bend]
  const done = m.act === 'done'
  const feed = !now ? tube.last : m.act === 'feed' ? now.feed * m.part : now.feed
  ahead.push(point())
  let made = 0 // length of tube past the die
  if (now && m.act === 'bend') {
    const under = now.angle_under_load * Math.min(1, m.part * 1.15)
    const back = m.part > 0.87 ? ((m.part - 0.87) / 0.13) * (now.angle_under_load - now.angle) : 0
    curve(under - back, now.radius)
    made += (((under - back) * Math.PI) / 180) * now.radius
  }
  for (let k = done ? tube.bends.length - 1 : m.bend - 1; k >= -1; k--) {
    const before = done && k === tube.bends.length - 1 ? tube.last : k === m.bend - 1 ? feed : tube.bends[k + 1].feed
    forward(before)
    made += before
    ahead.push(point())
    if (k < 0) break
    const next = tube.bends[k + 1]
    const turned = next ? (k === m.bend - 1 && !done ? next.rotate * (m.act === 'feed' ? 0 : m.act === 'turn' ? m.part : 1) : next.rotate) : 0
    roll(turned)
    const b = tube.bends[k]
    curve(b.angle, b.radius)
    made += ((b.angle * Math.PI) / 180) * b.radius
  }
  const behind = Math.max(0, tube.cut_length - made)
  return [...ahead.reverse(), ...(behind > 1 ? [new Vector3(-behind, 0, 0)] : [])]
}

/// The work as one bends: feed, turn, bend, and so on; `t` from 0 to its number of acts.
export function momentAt(tube: Tube, t: number): Moment {
  const acts = tube.bends.flatMap((b, bend) => [{ bend, act: 'feed' as const }, ...(b.rotate ? [{ bend, act: 'turn' as const }] : []), { bend, act: 'bend' as const }])
  if (t >= acts.length) return { bend: tube.bends.length, act: 'done', part: 1 }
  const n = Math.max(0, Math.floor(t))
  return { ...acts[n], part: t - n }
}
export function actCount(tube: Tube): number {
  return tube.bends.reduce((n, b) => n + (b.rotate ? 3 : 2), 0)
}
