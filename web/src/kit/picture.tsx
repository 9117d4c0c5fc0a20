// The kit or one part in 3D with its sizes, bends and findings drawn on it.
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks'
import { Raycaster, Vector2 } from 'three'
import type { Finding, Look, Part, Point3, Size } from '../types'
import { benched } from '../three/rows'
import { KitBody } from '../three/kit-body'
import { PartBody } from '../three/part-body'
import { frameLog, paint, Stage, stageKeys } from '../three/stage'
import { placeOf, spotOnBlank } from '../three/form'
import type { Form } from '../three/form'
import { angle, len, worded } from '../units'
import { layTags } from './tags'
import type { Tag } from './tags'
import { Turner } from '../ui/turner'

export interface PictureProps {
  look: Look
  forms: Map<string, Form>
  part: Part | null // alone, or null: the whole kit
  amount: number // pulled apart or folded, 0 to 1
  picked: number // piece, or -1
  units: string
  sizes: 'main' | 'holes' | 'all' // which of them are drawn
  findings: { finding: Finding; number: number }[]
  pick: (piece: number) => void
  touch: (size: Size) => void
  show: (f: Finding) => void
}

export function isHole(z: Size): boolean { return z.path.includes('holes') || z.path.includes('drill') }

interface Body { kit?: KitBody; part?: PartBody }

// What the tests read: the body as drawn.
declare global { interface Window { kitwright?: { frame: typeof frameLog; stage?: Stage; body?: Body; partName?: string } } }

/// The size that a finding is about: one that stands in its line of the file, at its column if told.
function sizeOf(f: Finding, part: Part): Point3 | null {
  const z = part.sizes.find((q) => q.line === f.where?.line && f.says.includes(q.says.split(' ').pop()!)) ?? part.sizes.find((q) => q.line === f.where?.line)
  return z ? [(z.at[0] + z.along[0]) / 2, (z.at[1] + z.along[1]) / 2, (z.at[2] + z.along[2]) / 2] : null
}
/// Where a finding lies on the part that stands alone: on the blank, it moves with the folding.
function findingSpot(f: Finding, body: PartBody, part: Part): () => Point3 | null {
  const at = f.where?.at
  if (!at || !f.where?.frame) return () => sizeOf(f, part)
  if (f.where!.frame !== 'blank') return () => at
  const spot = spotOnBlank(body.form, at[0], at[1])
  return () => (spot ? placeOf(body.form, spot, body.pose) : null)
}
function seatOf(body: KitBody, part: string | null, picked: number): number {
  if (picked >= 0 && body.seats[picked]?.piece.part === part) return picked
  return body.seats.findIndex((s) => s.piece.part === part)
}

export function Picture(p: PictureProps) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const over = useRef<HTMLDivElement>(null)
  const stage = useRef<Stage | null>(null)
  const body = useRef<Body>({})
  const tags = useRef<Tag[]>([])
  const amount = useRef(p.amount)
  const shown = useRef('')
  const framed = useRef(p.amount)
  const [failed, setFailed] = useState(false)
  const subject = p.part ?? p.look.parts.find((q) => q.part === p.look.pieces[p.picked]?.part) ?? null
  const sizes = (subject?.sizes ?? []).filter((z) => p.sizes === 'all' || (p.sizes === 'main') !== isHole(z))
  const bends = p.part?.kind === 'sheet' ? p.part.bends : []
  amount.current = p.amount

  useEffect(() => {
    try {
      const s = new Stage(canvas.current!)
      stage.current = s
      s.onPaint = () => { const c = paint(); body.current.kit?.paint(c); body.current.part?.paint(c) }
      s.onDraw = () => {
        if (!canvas.current) return // a last frame, when the leaf is gone already
        const { clientWidth: w, clientHeight: h } = canvas.current
        layTags(tags.current, (x, y, z) => s.where(x, y, z), w, h, [])
      }
      window.kitwright = { frame: frameLog, stage: s }
      return () => { s.close(); stage.current = null; delete window.kitwright }
    } catch { setFailed(true) }
  }, [])

  useEffect(() => { // a new body: another look or another part
    const s = stage.current
    if (!s) return
    const { kit, part } = body.current
    if (kit) { s.scene.remove(kit.group); kit.close() }
    if (part) { s.scene.remove(part.group); part.close() }
    const form = p.part && p.forms.get(p.part.part)
    body.current = form ? { part: new PartBody(form, bends) } : p.part ? {} : { kit: new KitBody(benched(p.look.pieces, p.look.parts), p.forms) }
    const now = body.current.part ?? body.current.kit
    if (now) {
      now.paint(paint())
      s.scene.add(now.group)
      pose()
      const what = `${p.look.kit}/${p.part?.part ?? ''}/${p.look.size}`
      const box = body.current.kit?.box ?? body.current.part?.box()
      if (box && !box.isEmpty() && shown.current !== what) { shown.current = what; s.lookAt(box) }
    }
    if (window.kitwright) Object.assign(window.kitwright, { body: body.current, partName: body.current.part ? p.part!.part : undefined })
  }, [p.forms, p.part?.part, p.look])

  function pose(): void {
    body.current.kit?.setApart(amount.current)
    body.current.part?.fold(amount.current)
    stage.current?.draw()
  }
  useEffect(() => {
    pose()
    const { kit } = body.current
    if (kit && kit.seats.length && framed.current !== p.amount) { framed.current = p.amount; stage.current?.keepIn(kit.boxApart()) }
  }, [p.amount])
  useEffect(() => { body.current.kit?.setPicked(p.picked); stage.current?.draw() }, [p.picked, p.forms, p.look])

  useLayoutEffect(() => { // the tags as they are now in the page
    const box = over.current!
    const find = <E extends Element>(q: string) => box.querySelector<E>(q)
    const list: Tag[] = []
    sizes.forEach((z, n) => {
      const ends = (): [Point3, Point3] | null => {
        const { kit, part } = body.current
        if (part) return amount.current > 0.98 ? [z.at, z.along] : null
        const seat = kit ? seatOf(kit, subject!.part, p.picked) : -1
        return seat >= 0 ? [kit!.at(seat, z.at), kit!.at(seat, z.along)] : null
      }
      list.push({ box: find(`[data-size="${n}"]`)!, line: find(`[data-line="${n}"]`), lead: find(`[data-lead="${n}"]`), ends })
    })
    bends.forEach((_, n) => {
      const ends = (): [Point3, Point3] | null => {
        const at = amount.current < 0.98 ? body.current.part?.bendAt(n) : null
        return at ? [at, at] : null
      }
      list.push({ box: find(`[data-bend="${n}"]`)!, line: null, lead: find(`[data-bend-lead="${n}"]`), ends })
    })
    p.findings.forEach(({ finding, number }) => {
      let seen: PartBody | null = null
      let spot: () => Point3 | null = () => null
      const ends = (): [Point3, Point3] | null => {
        const { kit, part } = body.current
        if (part && part !== seen) { seen = part; spot = findingSpot(finding, part, p.part!) }
        const seat = kit ? seatOf(kit, finding.part, p.picked) : -1
        const own = part ? spot() : kit && seat >= 0 ? kitSpot(kit, seat, finding, p.look.parts) : null
        const at = own && kit ? kit.at(seat, own) : own
        return at ? [at, at] : null
      }
      list.unshift({ box: find(`[data-finding="${number}"]`)!, line: null, lead: find(`[data-finding-lead="${number}"]`), ends })
    })
    tags.current = list.filter((t) => t.box)
    for (const t of tags.current) delete t.box.dataset.w
    stage.current?.draw()
  })

  function tapped(ev: MouseEvent): void {
    const s = stage.current
    const kit = body.current.kit
    if (!s || !kit) return
    const r = canvas.current!.getBoundingClientRect()
    const caster = new Raycaster()
    caster.setFromCamera(new Vector2(((ev.clientX - r.left) / r.width) * 2 - 1, 1 - ((ev.clientY - r.top) / r.height) * 2), s.camera)
    p.pick(kit.hit(caster.ray))
  }
  const down = useRef<[number, number]>([0, 0])
  if (failed) return <div class="told risk">This browser shows no 3D here. Sizes, findings and the text below work all the same.</div>
  const name = p.part ? `${p.part.part}, ${p.part.size.map((v) => len(v)).join(' by ')}` : `${p.look.title} of ${p.look.pieces.length} pieces`
  return (
    <div class="picture">
      <canvas ref={canvas} tabIndex={0} role="img" aria-label={`Picture of ${name}. Arrow keys turn it, plus and minus move nearer and farther.`}
        onKeyDown={(ev) => stage.current && stageKeys(stage.current, ev)}
        onPointerDown={(ev) => { down.current = [ev.clientX, ev.clientY] }}
        onClick={(ev) => { if (Math.hypot(ev.clientX - down.current[0], ev.clientY - down.current[1]) < 6) tapped(ev) }} />
      <div class="over" ref={over}>
        <svg aria-hidden="true">
          {sizes.map((_, n) => <g key={n}><line class="lead" data-lead={n} /><line class="measure" data-line={n} /></g>)}
          {bends.map((_, n) => <line key={n} class="lead" data-bend-lead={n} />)}
          {p.findings.map(({ number }) => <line key={number} class="lead" data-finding-lead={number} />)}
        </svg>
        {sizes.map((z, n) => (
          <button key={`${z.says} ${z.value}`} class="tag" data-size={n} onClick={() => p.touch(z)}
            aria-label={`${z.says}: ${worded(z.value, z.kind, p.units)}. Change it`}>{worded(z.value, z.kind, p.units)}</button>
        ))}
        {bends.map((b, n) => <span key={b.id} class="tag bend" data-bend={n}>{b.id} {angle(b.angle)} R {len(b.radius)}</span>)}
        {p.findings.map(({ finding, number }) => (
          <button key={number} class={`mark ${finding.level}`} data-finding={number} onClick={() => p.show(finding)}
            aria-label={`${finding.level} ${number}: ${finding.says}`}>{number}</button>
        ))}
      </div>
      <Turner stage={() => stage.current} />
    </div>
  )
}

function kitSpot(kit: KitBody, seat: number, f: Finding, parts: Part[]): Point3 | null {
  const { form, piece } = kit.seats[seat]
  if (!f.where?.frame) return sizeOf(f, parts.find((q) => q.part === piece.part)!) ?? [0, 0, 0]
  if (f.where.frame !== 'blank') return f.where.at
  const spot = spotOnBlank(form, f.where.at[0], f.where.at[1])
  const last = (form.frames - 1) * form.vertices * 3
  return spot && placeOf(form, spot, form.positions.subarray(last))
}
