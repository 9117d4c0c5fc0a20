// The body of a part as the program sends it: little-endian, the same vertices in every frame,
// frame 0 the blank and the last frame the finished part (docs/api.md).
import type { Point3 } from '../types'

export interface Form {
  frames: number
  vertices: number
  positions: Float32Array // frames x vertices x 3
  corners: Uint32Array // 3 a triangle
  edges: Uint32Array // 2 a line
}

/// A spot on the body that moves with it: a triangle and the weights of its corners.
export interface Spot { corner: number; weights: Point3; lift: number }

export function readForm(bytes: ArrayBuffer): Form {
  const head = new DataView(bytes)
  const magic = String.fromCharCode(...new Uint8Array(bytes, 0, 4))
  if (magic !== 'KWF1') throw new Error('not the form of a part')
  const [frames, vertices, triangles, edges] = [4, 8, 12, 16].map((at) => head.getUint32(at, true))
  let at = 20
  const positions = new Float32Array(bytes, at, frames * vertices * 3)
  at += positions.byteLength
  const corners = new Uint32Array(bytes, at, triangles * 3)
  at += corners.byteLength
  return { frames, vertices, positions, corners, edges: new Uint32Array(bytes, at, edges * 2) }
}

/// `count` frames of a form, from frame `first` on.
export function stretch(f: Form, first: number, count: number): Form {
  const n = f.vertices * 3
  return { ...f, frames: count, positions: f.positions.subarray(first * n, (first + count) * n) }
}

/// Vertices at `t` from 0 (blank) to 1 (finished), between the two nearest frames, into `out`.
export function poseAt(f: Form, t: number, out: Float32Array): void {
  const n = f.vertices * 3
  const x = Math.min(1, Math.max(0, t)) * (f.frames - 1)
  const lower = Math.min(f.frames - 1, Math.floor(x))
  const upper = Math.min(f.frames - 1, lower + 1)
  const part = x - lower
  const a = lower * n
  const b = upper * n
  for (let i = 0; i < n; i++) out[i] = f.positions[a + i] + (f.positions[b + i] - f.positions[a + i]) * part
}

/// The spot of the blank's upper face nearest to (x, y) of frame 0.
export function spotOnBlank(f: Form, x: number, y: number): Spot | null {
  const p = f.positions
  let best: Spot | null = null
  let least = Infinity
  for (let c = 0; c < f.corners.length; c += 3) {
    const [i, j, k] = [f.corners[c] * 3, f.corners[c + 1] * 3, f.corners[c + 2] * 3]
    const area = (p[j] - p[i]) * (p[k + 1] - p[i + 1]) - (p[k] - p[i]) * (p[j + 1] - p[i + 1])
    if (area < 1e-6) continue // the lower face, an edge face, or a sliver
    const w = clampedWeights(p, i, j, k, area, x, y)
    const dx = w[0] * p[i] + w[1] * p[j] + w[2] * p[k] - x
    const dy = w[0] * p[i + 1] + w[1] * p[j + 1] + w[2] * p[k + 1] - y
    const far = dx * dx + dy * dy
    if (far < least - 1e-9) {
      least = far
      best = { corner: c, weights: w, lift: 0 }
      if (far < 1e-6) return best
    }
  }
  return best
}

function clampedWeights(p: Float32Array, i: number, j: number, k: number, area: number, x: number, y: number): Point3 {
  const u = ((x - p[i]) * (p[k + 1] - p[i + 1]) - (p[k] - p[i]) * (y - p[i + 1])) / area
  const v = ((p[j] - p[i]) * (y - p[i + 1]) - (x - p[i]) * (p[j + 1] - p[i + 1])) / area
  const w: Point3 = [Math.max(0, 1 - u - v), Math.max(0, u), Math.max(0, v)]
  const sum = w[0] + w[1] + w[2]
  return [w[0] / sum, w[1] / sum, w[2] / sum]
}

export function placeOf(f: Form, s: Spot, pose: Float32Array): Point3 {
  const at: Point3 = [0, 0, 0]
  for (let n = 0; n < 3; n++) {
    const v = f.corners[s.corner + n] * 3
    for (let a = 0; a < 3; a++) at[a] += s.weights[n] * pose[v + a]
  }
  return at
}

export interface Measures { min: Point3; max: Point3; volume: number; holes: number }

/// Bounding box, volume and number of through holes of a closed mesh, from its triangles alone.
/// Holes by Euler's formula: corners - edges + faces = 2 (bodies - holes). Corners within a
/// thousandth of a mm are one.
export function measure(pose: ArrayLike<number>, corners: ArrayLike<number>): Measures {
  const min: Point3 = [Infinity, Infinity, Infinity]
  const max: Point3 = [-Infinity, -Infinity, -Infinity]
  const known = new Map<string, number>()
  const same = new Int32Array(pose.length / 3)
  for (let v = 0; v < same.length; v++) {
    const q = [0, 1, 2].map((a) => Math.round(pose[3 * v + a] * 1000)).join(' ')
    if (!known.has(q)) known.set(q, known.size)
    same[v] = known.get(q)!
  }
  const edges = new Set<string>()
  const used = new Set<number>()
  const boss = Int32Array.from({ length: known.size }, (_, i) => i)
  const head = (i: number): number => { while (boss[i] !== i) i = boss[i] = boss[boss[i]]; return i }
  let faces = 0
  let six = 0
  for (let c = 0; c < corners.length; c += 3) {
    const at = [0, 1, 2].map((n) => corners[c + n])
    const [a, b, d] = at.map((v) => [pose[3 * v], pose[3 * v + 1], pose[3 * v + 2]])
    six += a[0] * (b[1] * d[2] - b[2] * d[1]) - a[1] * (b[0] * d[2] - b[2] * d[0]) + a[2] * (b[0] * d[1] - b[1] * d[0])
    for (const p of [a, b, d]) for (let x = 0; x < 3; x++) { min[x] = Math.min(min[x], p[x]); max[x] = Math.max(max[x], p[x]) }
    const w = at.map((v) => same[v])
    if (w[0] === w[1] || w[1] === w[2] || w[0] === w[2]) continue
    faces++
    w.forEach((v, n) => {
      const u = w[(n + 1) % 3]
      used.add(v)
      edges.add(v < u ? `${v} ${u}` : `${u} ${v}`)
      boss[head(v)] = head(u)
    })
  }
  const bodies = new Set([...used].map(head)).size
  return { min, max, volume: six / 6, holes: bodies - (used.size - edges.size + faces) / 2 }
}
