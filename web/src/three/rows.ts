// Pieces that no assembly says the place of, laid out in rows like parts on a bench.
import type { Part, Piece } from '../types'

const GAP = 0.06 // of the mean size

/// The pieces as they are when the kit file assembles them, otherwise in rows about as wide as a
/// picture is, larger ones at the back.
export function benched(pieces: Piece[], parts: Part[]): Piece[] {
  const known = new Map(parts.map((p) => [p.part, p]))
  const loose = pieces.length > 1 && pieces.every((p) => p.name === p.part && known.has(p.part))
  if (!loose) return pieces
  const list = pieces.map((piece) => ({ piece, part: known.get(piece.part)! })).sort((a, b) => b.part.size[1] - a.part.size[1] || a.part.part.localeCompare(b.part.part))
  const gap = GAP * Math.sqrt(list.reduce((s, l) => s + l.part.size[0] * l.part.size[1], 0)) + 10
  const width = Math.max(...list.map((l) => l.part.size[0]), 1.5 * Math.sqrt(list.reduce((s, l) => s + (l.part.size[0] + gap) * (l.part.size[1] + gap), 0)))
  let x = 0, y = 0, deep = 0
  const places = new Map<Piece, number[]>()
  for (const { piece, part } of list) {
    if (x > 0 && x + part.size[0] > width) { x = 0; y -= deep + gap; deep = 0 }
    places.set(piece, [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, x - part.box[0], y - part.box[1] - part.size[1], -part.box[2], 1])
    x += part.size[0] + gap
    deep = Math.max(deep, part.size[1])
  }
  return pieces.map((piece) => ({ ...piece, place: places.get(piece)! }))
}
