// The bend order, step by step: what to set, how the part lies, what the press does.
import { useEffect, useRef, useState } from 'preact/hooks'
import { api } from '../api'
import { useLoad } from '../load'
import { to } from '../place'
import { Vector3 } from 'three'
import { readForm, stretch } from '../three/form'
import { PressBody } from '../three/press-body'
import { paint, Stage, stageKeys } from '../three/stage'
import type { BrakePlay, Step } from '../types'
import { Empty, Fact, Oops, Pick, Slide, Waiting, Wide } from '../ui/parts'
import { Turner } from '../ui/turner'
import { angle, force, len, percent } from '../units'
import type { SectionProps } from './run'

const FRAMES = 13 // of a stroke
const OPERATOR = new Vector3(-0.7, -0.9, 0.8) // before the press, past its end

export function Bending({ run, name, item }: SectionProps) {
  if (!run.brake.length) return <Empty says="This run folds no part." />
  const job = run.brake.find((b) => b.part === item) ?? run.brake[0]
  return (
    <div class="stack">
      <Pick label="Parts to fold, in the order of work" now={job.part} of={run.brake.map((b) => ({ key: b.part, says: b.part, href: to('week', name, 'bending', b.part) }))} />
      <PartSteps key={job.part} part={job.part} steps={job.steps} run={name} />
    </div>
  )
}

function PartSteps({ part, steps, run }: { part: string; steps: Step[]; run: string }) {
  const [n, setN] = useState(0)
  const [stroke, setStroke] = useState(0)
  const [going, setGoing] = useState(false)
  const got = useLoad(`${run} ${part}`, () => api.brake(run, part))
  const step = steps[n]
  useEffect(() => {
    if (!going) return
    const id = setInterval(() => setStroke((s) => { if (s >= 1) setGoing(false); return Math.min(1, s + 0.03) }), 33)
    return () => clearInterval(id)
  }, [going])
  function at(k: number): void { setN(Math.min(steps.length - 1, Math.max(0, k))); setStroke(0); setGoing(false) }
  return (
    <section class="stack" aria-label={`Bend order of ${part}`}>
      <div class="row spread"><h2>{part}: step {n + 1} of {steps.length}</h2>
        <p class="row no-print">
          <button class="plain" disabled={n === 0} onClick={() => at(n - 1)}>Step before</button>
          <button disabled={n === steps.length - 1} onClick={() => at(n + 1)}>Next step</button>
        </p>
      </div>
      <p class="set-now" role="status">{step.turned_over ? 'Turn it over. ' : ''}{step.rotated ? 'Turn it end for end. ' : ''}Bend {step.bends.join(' and ')}: gauge {len(step.gauge_x)}, start depth {len(step.start_depth)}, to {angle(step.angle)}</p>
      {step.gap !== undefined && <p class="told risk">Go slowly: the part passes the {step.gap_to} by {len(step.gap)}. Stop short of there on the first piece and look.</p>}
      {!!step.then_flare?.length && <p class="told">After this step, on the shop press: flare dimple {step.then_flare.join(', ')}.</p>}
      {got.error ? <Oops says={got.error} again={got.again} /> : !got.data ? <Waiting says="Setting up the press" /> : <>{got.data.changed && <p class="told risk">The kit file has changed since this run: the picture shows the part as it is now. Run the week again.</p>}<Press run={run} part={part} play={got.data} n={n} stroke={stroke} /></>}
      <div class="no-print row">
        <button onClick={() => { if (stroke >= 1) setStroke(0); setGoing(true) }}>Play the stroke</button>
      </div>
      <div class="no-print"><Slide label="Stroke" from="on the die" till="bent" value={stroke} says={stroke <= 0 ? 'on the die' : stroke >= 1 ? 'bent' : percent(stroke)} set={(v) => { setGoing(false); setStroke(v) }} /></div>
      <dl class="facts">
        <Fact name="Before it">{step.turned_over ? 'turn the part over' : 'same face up'}{step.rotated ? ', turn it end for end' : ''}</Fact>
        <Fact name="Punch, die">{step.punch}{step.punch_turned ? ' turned round' : ''}, {step.die}</Fact>
        <Fact name="Station">{step.station}</Fact>
        <Fact name="Gauge height over the die">{len(step.gauge_r)}</Fact>
        <Fact name="Pull back">{len(step.gauge_back)}</Fact>
        <Fact name="Depth from first contact">{len(step.depth)}</Fact>
        {!!step.carried && <Fact name="Bed carries it up">{len(step.carried)}</Fact>}
        {!!step.rise && <Fact name="Held end swings up">{len(step.rise)}</Fact>}
        <Fact name="Angle under load">{angle(step.angle_under_load)}</Fact>
        <Fact name="Force">{force(step.force)}</Fact>
      </dl>
      <p class="caution">{!!step.carried && 'The bed comes up and the part rises with it: keep fingers, knees and face out of its way. '}Hands clear of punch, die and the part as it swings up. Depth is a starting point: bend a spare blank first. The press's manual and the tools' ratings come first.</p>
      <Wide label="All steps">
        <table><caption class="unseen">All steps of {part}</caption>
          <thead><tr><th>Step</th><th>Bend</th><th>Part</th><th class="number">Gauge</th><th class="number">Start depth</th><th class="number">Angle</th><th class="number">Force</th></tr></thead>
          <tbody>{steps.map((s, k) => <tr key={k} aria-current={k === n ? 'step' : undefined}><td><button class={k === n ? '' : 'plain'} onClick={() => at(k)} aria-label={`Step ${k + 1}`}>{k + 1}</button><span class="on-paper" aria-hidden="true">{k + 1}</span></td><td>{s.bends.join(', ')}</td>
            <td>{s.turned_over ? 'turned over' : ''}{s.rotated ? ' end for end' : ''}</td><td class="number">{len(s.gauge_x)}</td><td class="number">{len(s.start_depth)}</td><td class="number">{angle(s.angle)}</td><td class="number">{force(s.force)}</td></tr>)}</tbody>
        </table>
      </Wide>
    </section>
  )
}

function Press({ run, part, play, n, stroke }: { run: string; part: string; play: BrakePlay; n: number; stroke: number }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const stage = useRef<Stage | null>(null)
  const body = useRef<PressBody | null>(null)
  const [failed, fail] = useState(false)
  const form = useLoad(`${run} ${part} form`, () => api.brakeForm(run, part, FRAMES).then(readForm))
  const moment = useRef(stroke)
  moment.current = stroke

  useEffect(() => {
    try {
      const s = new Stage(canvas.current!)
      s.onPaint = () => body.current?.paint(paint())
      stage.current = s
      return () => { s.close(); stage.current = null }
    } catch { fail(true) }
  }, [])
  useEffect(() => {
    const s = stage.current
    const step = play.steps[n]
    if (!s || !form.data || !step) return
    const first = !body.current
    if (body.current) { s.scene.remove(body.current.group); body.current.close() }
    body.current = new PressBody(stretch(form.data, n * FRAMES, FRAMES), step, play.tools, play.thickness, play.bed_moves)
    body.current.paint(paint())
    body.current.stroke(moment.current)
    s.scene.add(body.current.group)
    if (first) s.lookAt(body.current.box(), OPERATOR)
    s.draw()
  }, [form.data, n, play])
  useEffect(() => { body.current?.stroke(stroke); stage.current?.draw() }, [stroke])
  if (failed) return <p class="told risk">This browser shows no 3D here; the figures below say all that is set.</p>
  return (
    <div class="picture">
      <canvas ref={canvas} tabIndex={0} role="img" aria-label={`${part} in the press, step ${n + 1}`} onKeyDown={(ev) => stage.current && stageKeys(stage.current, ev)} />
      {form.error && <Oops says={form.error} again={form.again} />}
      <Turner stage={() => stage.current} />
    </div>
  )
}
