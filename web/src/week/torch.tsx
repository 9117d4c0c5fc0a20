// The program as read back, played: what is cut so far, where the torch is, at any speed.
import type { RefObject } from 'preact'
import { useEffect, useMemo, useState } from 'preact/hooks'
import { api } from '../api'
import { useLoad } from '../load'
import type { Move, Sheet, Torch } from '../types'
import type { Sight } from '../ui/zoom'
import { Choice, Oops, Slide, Waiting } from '../ui/parts'
import { clock, percent, taped } from '../units'

interface Timed { from: [number, number]; move: Move; begin: number; end: number }

function share(t: Timed, now: number): number {
  return t.end > t.begin ? Math.min(1, Math.max(0, (now - t.begin) / (t.end - t.begin))) : now >= t.end ? 1 : 0
}

/// Moves with the second at which each ends.
export function timed(torch: Torch): Timed[] {
  let from: [number, number] = [0, 0]
  let begin = 0
  let block = ''
  return torch.moves.map((move) => {
    block = move.block ?? block
    const t = { from: move.from ?? from, move: { ...move, block }, begin: begin + (move.wait ?? 0), end: move.t }
    begin = move.t
    from = move.to
    return t
  })
}

/// Where the torch is a part of the way along a move, arcs included.
export function along(from: [number, number], m: Move, part: number): [number, number] {
  if (!m.center) return [from[0] + (m.to[0] - from[0]) * part, from[1] + (m.to[1] - from[1]) * part]
  const [a0, sweep, r] = arc(from, m)
  return [m.center[0] + r * Math.cos(a0 + sweep * part), m.center[1] + r * Math.sin(a0 + sweep * part)]
}
function arc(from: [number, number], m: Move): [number, number, number] {
  const c = m.center!
  const a0 = Math.atan2(from[1] - c[1], from[0] - c[0])
  let sweep = Math.atan2(m.to[1] - c[1], m.to[0] - c[0]) - a0
  if (m.way > 0 && sweep <= 1e-9) sweep += 2 * Math.PI
  if (m.way < 0 && sweep >= -1e-9) sweep -= 2 * Math.PI
  return [a0, sweep, Math.hypot(from[0] - c[0], from[1] - c[1])]
}

function drawMove(g: CanvasRenderingContext2D, t: Timed, part: number): void {
  g.moveTo(...t.from)
  if (!t.move.center) { g.lineTo(...along(t.from, t.move, part)); return }
  const [a0, sweep, r] = arc(t.from, t.move)
  g.arc(t.move.center[0], t.move.center[1], r, a0, a0 + sweep * part, sweep < 0)
}

type Line = 'travel' | 'etch' | 'cut'
const lineOf = (m: Move): Line => (m.cut ? 'cut' : m.etch ? 'etch' : 'travel')
const widths: Record<Line, number> = { travel: 1, etch: 1.2, cut: 2.5 }
const colours: Record<Line, string> = { travel: '--soft', etch: '--ink', cut: '--stop' }

/// What the scribe draws lies beside the torch's way, by `scribe`.
function drawTorch(g: CanvasRenderingContext2D, all: Timed[], now: number, s: Sight, scribe: [number, number]): void {
  const ratio = devicePixelRatio || 1
  const style = getComputedStyle(document.documentElement)
  g.setTransform(ratio, 0, 0, ratio, 0, 0)
  g.clearRect(0, 0, s.w, s.h)
  g.setTransform(ratio * s.scale, 0, 0, -ratio * s.scale, ratio * (s.w / 2 - s.cx * s.scale), ratio * (s.h / 2 + s.cy * s.scale))
  let at: [number, number] = [0, 0]
  for (const line of ['travel', 'etch', 'cut'] as Line[]) {
    g.save()
    if (line === 'etch') g.translate(scribe[0], scribe[1])
    g.beginPath()
    for (const t of all) {
      if (t.begin > now) break
      const part = share(t, now)
      if (lineOf(t.move) === line) drawMove(g, t, part)
      at = along(t.from, t.move, part)
    }
    g.lineWidth = widths[line] / s.scale
    g.setLineDash(line === 'travel' ? [6 / s.scale, 5 / s.scale] : [])
    g.strokeStyle = style.getPropertyValue(colours[line])
    g.stroke()
    g.restore()
  }
  g.setLineDash([])
  g.beginPath()
  g.arc(at[0], at[1], 9 / s.scale, 0, 7)
  g.lineWidth = 3 / s.scale
  g.strokeStyle = style.getPropertyValue('--ink')
  g.stroke()
}

function blockName(block: string): string { return block === 'SCRAP' ? 'scrap' : block === 'MARKS' ? 'marks' : block }

interface PlayerProps { run: string; sheet: Sheet; sight: Sight; canvas: RefObject<HTMLCanvasElement | null> }

/// The keys stand below the sheet; what is cut is drawn on `canvas`, which lies over it.
export function TorchPlayer(p: PlayerProps) {
  const [wanted, want] = useState(false)
  if (!p.sheet.program) return null
  return wanted ? <Playing {...p} /> : <p class="no-print"><button onClick={() => want(true)}>Play the program</button></p>
}

function Playing({ run, sheet, sight, canvas }: PlayerProps) {
  const got = useLoad(`${run} ${sheet.id}`, () => api.torch(run, sheet.id))
  const all = useMemo(() => (got.data ? timed(got.data) : []), [got.data])
  const total = all.length ? all[all.length - 1].end : 0
  const [now, setNow] = useState(0)
  const [going, setGoing] = useState(true)
  const [speed, setSpeed] = useState('30')

  useEffect(() => {
    if (!going || !total) return
    let last = 0
    let id = requestAnimationFrame(function step(t) {
      if (last) setNow((n) => Math.min(total, n + (Math.min(200, t - last) / 1000) * Number(speed)))
      last = t
      id = requestAnimationFrame(step)
    })
    return () => cancelAnimationFrame(id)
  }, [going, total, speed])
  useEffect(() => { if (now >= total && total) setGoing(false) }, [now, total])
  useEffect(() => {
    const c = canvas.current
    if (!c || !all.length) return
    const ratio = devicePixelRatio || 1
    const [w, h] = [Math.round(sight.w * ratio), Math.round(sight.h * ratio)]
    if (c.width !== w || c.height !== h) { c.width = w; c.height = h }
    drawTorch(c.getContext('2d')!, all, now, sight, got.data?.scribe ?? [0, 0])
  })
  const index = all.findIndex((t) => t.end >= now)
  const current = all[index]
  const at = current ? along(current.from, current.move, share(current, now)) : [0, 0]
  const doing = !current ? '' : now < current.begin ? (current.move.etch ? 'scribe down' : 'piercing') : current.move.cut ? 'cutting' : current.move.etch ? 'etching' : 'moving over'
  return (
    <div class="player panel no-print" role="group" aria-label="Play the program">
      {got.error && <Oops says={got.error} again={got.again} />}
      {!got.data && !got.error && <Waiting says="Reading the program back" />}
      <div class="row">
        <button aria-pressed={going} onClick={() => { if (now >= total) setNow(0); setGoing(!going) }}>{going ? 'Pause' : now >= total ? 'Play again' : 'Play'}</button>
        <Choice label="Speed" value={speed} of={[['1', '1 x'], ['10', '10 x'], ['30', '30 x'], ['120', '120 x'], ['600', '600 x']]} pick={setSpeed} />
        <button class="plain" onClick={() => { setGoing(false); setNow(all.find((t) => t.end > now + 1e-6)?.end ?? now) }}>Next move</button>
      </div>
      <Slide label="Time" from="start" till="end" max={total} step={Math.max(0.1, total / 1000)} value={now} says={`${clock(now)} of ${clock(total)}`} set={(v) => { setGoing(false); setNow(v) }} />
      {got.data && <p class="small">Time at full feed. With speeding up, height finding and the like the plan says {clock(got.data.planned)}.</p>}
      <p class="said" data-torch>{current ? `${current.move.block ? `${blockName(current.move.block)}: ` : ''}${doing}, line ${current.move.line} of the program, torch at ${taped(at[0])}, ${taped(at[1])}, ${percent(total ? now / total : 0)}` : ''}</p>
    </div>
  )
}
