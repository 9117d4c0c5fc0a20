// Tube bending played: feed, turn, bend, as one stands at the bender.
import { useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { Box3, CurvePath, CylinderGeometry, LineCurve3, Mesh, MeshLambertMaterial, TubeGeometry, Vector3 } from 'three'
import { to } from '../place'
import { paint, Stage, stageKeys } from '../three/stage'
import { actCount, momentAt, tubeAt } from '../three/tube-path'
import type { Tube } from '../types'
import { Empty, Fact, Pick, Slide, Wide } from '../ui/parts'
import { Turner } from '../ui/turner'
import { angle, len, taped } from '../units'
import type { SectionProps } from './run'

export function Tubes({ run, name, item }: SectionProps) {
  const bent = run.tubes.filter((t) => t.bends.length)
  if (!bent.length) return <Empty says="This run bends no tube." />
  const tube = bent.find((t) => t.part === item) ?? bent[0]
  return (
    <div class="stack">
      <Pick label="Tubes" now={tube.part} of={bent.map((t) => ({ key: t.part, says: t.part, href: to('week', name, 'tube', t.part) }))} />
      <TubeView key={tube.part} tube={tube} />
    </div>
  )
}

function says(tube: Tube, t: number): string {
  const m = momentAt(tube, t)
  const b = tube.bends[m.bend]
  if (!b) return `Done: ${taped(tube.last)} straight after the last bend.`
  const head = `Bend ${m.bend + 1} of ${tube.bends.length}: `
  if (m.act === 'feed') return `${head}feed ${taped(b.feed)}`
  if (m.act === 'turn') return `${head}turn the tube ${angle(Math.abs(b.rotate))} ${b.rotate > 0 ? 'counter-clockwise' : 'clockwise'}, looking from the clamp along the stick`
  return `${head}bend to ${angle(b.angle_under_load)} under load; it springs back to ${angle(b.angle)}`
}

function TubeView({ tube }: { tube: Tube }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const stage = useRef<Stage | null>(null)
  const mesh = useRef<Mesh | null>(null)
  const [t, setT] = useState(0)
  const [going, setGoing] = useState(false)
  const [failed, fail] = useState(false)
  const acts = useMemo(() => actCount(tube), [tube])

  useEffect(() => {
    try {
      const s = new Stage(canvas.current!)
      stage.current = s
      const steel = new MeshLambertMaterial()
      const tool = new MeshLambertMaterial()
      mesh.current = new Mesh(undefined, steel)
      const radius = tube.bends[0].die_radius || tube.bends[0].radius
      const die = new Mesh(new CylinderGeometry(radius - tube.od * 0.45, radius - tube.od * 0.45, tube.od * 1.4, 48), tool)
      die.rotation.x = Math.PI / 2
      die.position.set(0, radius, 0)
      s.onPaint = () => { const p = paint(); steel.color.copy(p.steel); tool.color.copy(p.accent) }
      s.onPaint()
      s.scene.add(mesh.current, die)
      const box = new Box3()
      for (let k = 0; k <= acts; k++) for (const p of tubeAt(tube, momentAt(tube, k))) box.expandByPoint(p)
      s.lookAt(box, new Vector3(0.35, -0.8, 0.9))
      return () => { s.close(); stage.current = null }
    } catch { fail(true) }
  }, [tube])
  useEffect(() => {
    const points = tubeAt(tube, momentAt(tube, t)).filter((p, n, all) => !n || p.distanceTo(all[n - 1]) > 0.01)
    const path = new CurvePath<Vector3>()
    points.slice(1).forEach((p, n) => path.add(new LineCurve3(points[n], p)))
    mesh.current?.geometry.dispose()
    if (mesh.current) mesh.current.geometry = new TubeGeometry(path as never, Math.min(600, points.length * 6), tube.od / 2, 16)
    stage.current?.draw()
  }, [t, tube])
  useEffect(() => {
    if (!going) return
    const id = setInterval(() => setT((x) => { if (x >= acts) setGoing(false); return Math.min(acts, x + 0.02) }), 33)
    return () => clearInterval(id)
  }, [going, acts])

  return (
    <section class="stack" aria-label={`Tube ${tube.part}`}>
      <dl class="facts figures">
        <Fact name="Part">{tube.part}, {tube.count} to make</Fact>
        <Fact name="From">{tube.material}</Fact>
        <Fact name="Cut length">{taped(tube.cut_length)}</Fact>
        <Fact name="Outside, wall">{len(tube.od)}, {len(tube.wall)}</Fact>
      </dl>
      <p class="said set-now" role="status">{says(tube, t)}</p>
      {failed ? <p class="told risk">This browser shows no 3D here; the table below has all figures.</p> : (
        <div class="picture">
          <canvas ref={canvas} tabIndex={0} role="img" aria-label={`${tube.part} at the bender. ${says(tube, t)}`} onKeyDown={(ev) => stage.current && stageKeys(stage.current, ev)} />
          <Turner stage={() => stage.current} />
        </div>
      )}
      <div class="player no-print">
        <div class="row">
          <button aria-pressed={going} onClick={() => { if (t >= acts) setT(0); setGoing(!going) }}>{going ? 'Pause' : 'Play'}</button>
          <button class="plain" onClick={() => { setGoing(false); setT(Math.max(0, Math.ceil(t) - 1)) }}>Step back</button>
          <button class="plain" onClick={() => { setGoing(false); setT(Math.min(acts, Math.floor(t) + 1)) }}>Step on</button>
        </div>
        <Slide label="Work" from="stick" till="bent" max={acts} step={0.02} value={t} says={t >= acts ? 'done' : `step ${Math.floor(t) + 1} of ${acts}`} set={(v) => { setGoing(false); setT(v) }} />
      </div>
      <p class="caution">Hands clear of die and arm. Weld seam to the side. Figures are estimates: bend a trial piece first; the bender's manual comes first.</p>
      <Wide label="Bends">
        <table><caption class="unseen">Bends of {tube.part}</caption>
          <thead><tr><th>Bend</th><th class="number">Straight before it</th><th class="number">Turn of the tube</th><th class="number">Angle</th><th class="number">Under load</th><th class="number">Radius to the centreline</th></tr></thead>
          <tbody>{tube.bends.map((b, n) => <tr key={n}><td>{n + 1}</td><td class="number">{taped(b.feed)}</td><td class="number">{angle(b.rotate)}</td><td class="number">{angle(b.angle)}</td><td class="number">{angle(b.angle_under_load)}</td><td class="number">{len(b.radius)}</td></tr>)}</tbody>
        </table>
      </Wide>
    </section>
  )
}
