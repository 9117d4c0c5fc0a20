// A part that can no longer be folded has no form. Its last good picture stays, so that one sees
// where the trouble is and can type another size there.
import type { Look, Part, Path, Piece } from '../types'

interface Good { part: Part; look: string; pieces: Piece[] }

const same = (a: Path, b: Path) => a.length === b.length && a.every((x, n) => x === b[n])

export class LastGood {
  private kept = new Map<string, Good>()

  /// The look with what is remembered of parts that have no form now. `set`: the value just typed.
  mend(look: Look, set: { path: Path; value: string } | null): Look {
    if (look.error) return look
    const lost: Good[] = []
    const parts = look.parts.map((part) => {
      if (part.form) {
        this.kept.set(part.part, { part, look: look.look, pieces: look.pieces.filter((p) => p.part === part.part) })
        return part
      }
      const good = this.kept.get(part.part)
      if (!good) return part
      if (set) good.part = { ...good.part, sizes: good.part.sizes.map((z) => (same(z.path, set.path) ? { ...z, value: set.value } : z)) }
      lost.push(good)
      return { ...good.part, count: part.count, line: part.line, makeable: false, stale: good.look }
    })
    return lost.length ? { ...look, parts, pieces: [...look.pieces, ...lost.flatMap((g) => g.pieces)] } : look
  }
}
