// Sizes, bend names and finding marks that lie over the picture: where each goes at every frame.
// Plain arithmetic on the page's own elements, since it runs once a frame.
import type { Point3 } from '../types'

export interface Tag {
  box: HTMLElement
  line: SVGLineElement | null // from one end to the other of what is measured
  lead: SVGLineElement | null // from its middle to the tag
  ends: () => [Point3, Point3] | null
}

interface Rect { x: number; y: number; w: number; h: number }
const GAP = 4

function clash(a: Rect, b: Rect): boolean {
  return a.x < b.x + b.w + GAP && b.x < a.x + a.w + GAP && a.y < b.y + b.h + GAP && b.y < a.y + a.h + GAP
}
function draw(line: SVGLineElement | null, x1: number, y1: number, x2: number, y2: number): void {
  if (!line) return
  line.setAttribute('x1', x1.toFixed(1))
  line.setAttribute('y1', y1.toFixed(1))
  line.setAttribute('x2', x2.toFixed(1))
  line.setAttribute('y2', y2.toFixed(1))
}
function show(tag: Tag, seen: boolean): void {
  const v = seen ? '' : 'none'
  tag.box.style.display = v
  if (tag.line) tag.line.style.display = v
  if (tag.lead) tag.lead.style.display = v
}

/// Tries spots round the middle of what is measured, nearer ones first, until the tag lies on no
/// other; what finds no spot keeps the first one inside the picture.
function seat(w: number, h: number, x: number, y: number, W: number, H: number, taken: Rect[], outX: number, outY: number): Rect {
  let first: Rect | null = null
  for (let ring = 0; ring < 9; ring++) {
    for (const turn of [0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.4, -2.4, Math.PI]) {
      const c = Math.cos(turn), s = Math.sin(turn)
      const r = 26 + ring * 30
      const cx = x + (outX * c - outY * s) * (r + w / 4)
      const cy = y + (outX * s + outY * c) * r
      const at = { x: Math.min(W - w - 2, Math.max(2, cx - w / 2)), y: Math.min(H - h - 2, Math.max(2, cy - h / 2)), w, h }
      first ??= at
      if (!taken.some((t) => clash(t, at))) return at
    }
  }
  return first!
}

/// Puts every tag where it belongs; `where` tells where a point of the scene is on the picture.
export function layTags(tags: Tag[], where: (x: number, y: number, z: number) => [number, number] | null, W: number, H: number, kept: Rect[]): void {
  const taken: Rect[] = [...kept]
  for (const tag of tags) {
    const ends = tag.ends()
    const a = ends && where(...ends[0])
    const b = ends && where(...ends[1])
    if (!a || !b) { show(tag, false); continue }
    show(tag, true)
    const x = (a[0] + b[0]) / 2, y = (a[1] + b[1]) / 2
    const w = (tag.box.dataset.w ? Number(tag.box.dataset.w) : 0) || measureOnce(tag.box)
    const h = Number(tag.box.dataset.h)
    const dx = x - W / 2, dy = y - H / 2
    const d = Math.hypot(dx, dy) || 1
    const at = seat(w, h, x, y, W, H, taken, dx / d, dx || dy ? dy / d : -1)
    taken.push(at)
    tag.box.style.transform = `translate(${at.x.toFixed(1)}px, ${at.y.toFixed(1)}px)`
    draw(tag.line, a[0], a[1], b[0], b[1])
    draw(tag.lead, x, y, at.x + w / 2, at.y + h / 2)
  }
}
function measureOnce(box: HTMLElement): number {
  box.dataset.w = String(box.offsetWidth)
  box.dataset.h = String(box.offsetHeight)
  return box.offsetWidth
}
