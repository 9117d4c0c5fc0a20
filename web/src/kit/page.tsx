// A kit: its picture first, the text on the back of it.
import { useEffect, useMemo, useState } from 'preact/hooks'
import { api, shop } from '../api'
import { useCell } from '../cell'
import { go, to } from '../place'
import type { Finding, Look, Part, Quote, Size } from '../types'
import { later } from '../ui/later'
import { FindingList, sorted, tally } from '../ui/findings'
import { Choice, Fact, Oops, PrintButton, Slide, Waiting } from '../ui/parts'
import { mass, money, percent, system } from '../units'
import { useForms } from './forms'
import { NewKit } from './list'
import { AddPart } from './add-part'
import { PartFacts } from './facts'
import { PartLayers } from './part-layers'
import { Parts } from './tray'
import { SizeBox } from './size-box'
import { useKit } from './state'
import type { KitState } from './state'
import type { Signature } from '../ui/sign'

const Picture = later(() => import('./picture').then((m) => m.Picture))
const TextSide = later(() => import('./text').then((m) => m.TextSide))

export function unitsOf(look: Look): string {
  return /^units:\s*(mm|in)\b/m.exec(look.text)?.[1] ?? ''
}

export function KitPage({ names }: { names: string[] }) {
  const kit = names[1]
  const side = names[2] === 'text' ? 'text' : 'picture'
  const folder = useCell(shop)!
  useCell(system)
  const [size, setSize] = useState<string | null>(null)
  const [having, setHaving] = useState<string[] | null>(null)
  const [adding, add] = useState(false)
  const [copying, copy] = useState(false)
  useEffect(() => { setSize(null); setHaving(null) }, [kit])
  const state = useKit(kit, size, having)
  const { look } = state
  if (!folder.kits.some((k) => k.kit === kit) && !look) {
    return <Oops says={state.trouble ?? `There is no kit ${kit} in this shop folder.`} again={() => go('kits')} />
  }
  if (!look) return state.trouble ? <Oops says={state.trouble} again={state.takeTheirs} /> : <Waiting says={`Opening ${kit}`} />
  const options = look.options
  return (
    <div class="stack kit-page">
      <div class="row spread">
        <div>
          <p class="small no-print"><a href={to('kits')}>Kits</a>{names[2] === 'part' && <> / <a href={to('kits', kit)}>{look.title}</a></>}</p>
          <h1>{names[2] === 'part' ? names[3] : look.title}</h1>
        </div>
        <div class="row no-print">
          <Choice label="Which side" value={side} of={[['picture', 'Picture'], ['text', 'Text behind']]}
            pick={(v) => (v === 'text' ? go('kits', kit, 'text') : go('kits', kit))} />
        </div>
      </div>
      <div class="row">
        {look.sizes.length > 0 && <Choice label="Size" shown value={look.size ?? look.sizes[0]} of={look.sizes.map((s) => [s, s])} pick={setSize} />}
        {options.map((o) => (
          <label class="tick" key={o.name}>
            <input type="checkbox" checked={o.with}
              onChange={(ev) => setHaving(options.filter((q) => (q.name === o.name ? ev.currentTarget.checked : q.with)).map((q) => q.name))} />with {o.title || o.name}
          </label>
        ))}
      </div>
      <Notices state={state} kit={kit} />
      {side === 'text'
        ? <><Figures look={look} currency={folder.currency} checking={state.checking} /><TextSide state={state} line={Number(names[3] ?? 0)} kit={kit} /></>
        : <Front key={kit} state={state} look={look} kit={kit} part={names[2] === 'part' ? names[3] : null} currency={folder.currency} />}
      <p class="row no-print">
        <button class="plain" onClick={() => add(true)}>Add a part</button>
        <button class="plain" onClick={() => copy(true)}>Copy this kit</button>
        <PrintButton />
      </p>
      {adding && <AddPart look={look} state={state} close={() => add(false)} />}
      {copying && <NewKit from={kit} close={() => copy(false)} />}
    </div>
  )
}

/// The quick price of a look that comes without one: asked for when typing has paused.
function useQuick(look: Look): Quote | null {
  const [got, set] = useState<{ look: string; quote: Quote } | null>(null)
  useEffect(() => {
    if (look.cost || look.error || got?.look === look.look) return
    const id = setTimeout(() => { api.lookQuote(look.look, 'quick').then((quote) => set({ look: look.look, quote }), () => { /* none: something stops */ }) }, 250)
    return () => clearTimeout(id)
  }, [look.look, look.error])
  return got?.look === look.look || got && !look.error && !look.findings.some((f) => f.level === 'stop') ? got.quote : null
}

/// `whole`: they stand on a part's own page and say that they are the kit's.
function Figures({ look, currency, checking, whole }: { look: Look; currency: string; checking: boolean; whole?: boolean }) {
  const [exact, setExact] = useState<{ look: string; quote: Quote } | null>(null)
  const [working, work] = useState(false)
  const stops = look.findings.some((f) => f.level === 'stop' && !f.signed)
  const quick = useQuick(look)
  const cost = exact?.look === look.look ? exact.quote : look.cost ?? quick
  const unknown = stops || look.error ? 'not while it stops' : 'working it out'
  const about = cost?.effort === 'quick' ? 'about ' : ''
  async function workOut(): Promise<void> {
    work(true)
    try { setExact({ look: look.look, quote: await api.lookQuote(look.look, 'full') }) } catch { /* the quick figure stays */ }
    work(false)
  }
  const kg = look.parts.reduce((sum, p) => sum + p.mass * p.count, 0)
  return (
    <div class="figures row spread">
    <dl class="facts" aria-live="polite" aria-busy={checking}>
      <Fact name={whole ? 'Price of the kit' : 'Price'}>{cost ? `${about}${money(cost.price, currency)}` : unknown}</Fact>
      <Fact name={whole ? 'Cost of the kit' : 'Cost to make'}>{cost ? `${about}${money(cost.total, currency)}` : unknown}</Fact>
      <Fact name="Steel in one kit">{mass(kg)}</Fact>
      <Fact name="Pieces">{look.parts.reduce((n, p) => n + p.count, 0)} of {look.parts.length} parts</Fact>
      <Fact name={whole ? 'Found in the kit' : 'Found'} bad={stops || !!look.error}>{look.error ? "can't be read" : tally(look.findings)}</Fact>
    </dl>
    {about && !look.error && <button class="plain no-print" disabled={working} onClick={() => void workOut()}>{working ? 'Working it out' : 'Work out the exact price'}</button>}
    </div>
  )
}

function Notices({ state, kit }: { state: KitState; kit: string }) {
  return (
    <>
      {state.changedOutside && (
        <div class="told risk row" role="alert">
          <span>This file was changed outside while you were typing. Nothing has been written over it.</span>
          <button class="plain" onClick={state.takeTheirs}>Take what is in the file</button>
          <button class="plain" onClick={() => void state.keepMine()}>Write mine over it</button>
        </div>
      )}
      {state.dirty && (
        <div class="told row no-print">
          <span>Changed here, not yet written to kits/{kit}.yaml.</span>
          <button onClick={() => void state.save()} disabled={state.changedOutside}>Write to the file</button>
          <button class="plain" onClick={state.takeTheirs}>Leave it as it was</button>
        </div>
      )}
      {state.trouble && <div class="told stop row" role="alert"><span>{state.trouble}</span><button class="plain" onClick={state.calm}>Understood</button></div>}
      {state.canUndo && <div class="row no-print"><button class="plain" onClick={() => void state.undo()}>Undo the last change</button></div>}
    </>
  )
}

function Front({ state, look, kit, part: name, currency }: { state: KitState; look: Look; kit: string; part: string | null; currency: string }) {
  const part: Part | null = look.parts.find((p) => p.part === name) ?? null
  const [apart, setApart] = useState(0)
  const [fold, setFold] = useState(1)
  const [picked, pick] = useState(-1)
  const [sizes, setSizes] = useState<'main' | 'holes' | 'all'>('main')
  const [touched, touch] = useState<Size | null>(null)
  const [read, readFinding] = useState<Finding | null>(null)
  const units = unitsOf(look)
  const wanted = useMemo(() => (part ? [part] : look.parts.filter((q) => look.pieces.some((p) => p.part === q.part))), [look, part])
  const forms = useForms(look, wanted, part?.kind === 'sheet' && part.bends.length ? 25 : 2)
  const numbered = useMemo(() => sorted(look.findings).map((finding, n) => ({ finding, number: n + 1 })), [look.findings])
  const here = numbered.filter(({ finding }) => finding.part && finding.where && (part ? finding.part === part.part : true))
  const pickedPart = part ?? look.parts.find((p) => p.part === look.pieces[picked]?.part) ?? null
  useEffect(() => { pick(-1); touch(null); readFinding(null); setFold(1) }, [name])

  async function set(value: string): Promise<void> {
    const size = touched!
    touch(null)
    await state.set(size.path, value)
  }
  const sign = state.dirty ? undefined : async (_: Finding, s: Signature) => {
    const wrong = await state.sign(s)
    if (wrong === null) readFinding(null)
    return wrong
  }
  const toLine = (f: Finding) => f.where && [{ says: `Line ${f.where.line} of the text`, act: () => go('kits', kit, 'text', String(f.where!.line)) }]
  const onPart = (f: Finding) => f.part && f.part !== name && look.parts.some((p) => p.part === f.part)
    ? [{ says: `Look at ${f.part}`, act: () => go('kits', kit, 'part', f.part!) }] : []

  if (name && !part) return <Oops says={`${look.title} has no part ${name} in this size.`} again={() => go('kits', kit)} />
  return (
    <>
      {part?.stale && <p class="told stop">{part.part} can't be folded as it is now: the picture is of how it was before. Type another size.</p>}
      {look.error && <p class="told stop">The text can't be read, so {look.parts.length ? 'this is the last picture that could be' : 'there is no picture'}: line {look.error.line}: {look.error.text}. <a href={to('kits', kit, 'text', String(look.error.line))}>To that line</a></p>}
      <figure class="picture-frame">
        {part && !part.form ? <p class="empty">{part.part} can't be folded as it is written, so there is no picture of it. The findings below say why.</p> : forms && forms.forms.size > 0
          ? <Picture look={forms.of} forms={forms.forms} part={part && (forms.of.parts.find((p) => p.part === part.part) ?? null)} amount={part ? fold : apart} picked={picked}
              units={units} sizes={sizes} findings={here} pick={pick} touch={(z) => { touch(z); readFinding(null) }} show={(f) => { readFinding(f); touch(null) }} />
          : look.parts.length ? forms ? <Oops says="The picture could not be drawn." /> : <Waiting says="Drawing" />
            : look.error ? <p class="empty">Mend the text, and the picture stands here.</p> : <p class="empty">No part yet. Add one in the text behind, or drop a drawing.</p>}
        {touched && <SizeBox key={touched.says} size={touched} units={units} set={(v) => void set(v)} leave={() => touch(null)} line={() => go('kits', kit, 'text', String(touched.line))} />}
        {read && (
          <div class="size-box" role="dialog" aria-label="Finding">
            <FindingList findings={[read]} sign={sign} links={(f) => [...(toLine(f) ?? []), ...onPart(f), { says: 'Close', act: () => readFinding(null) }]} />
          </div>
        )}
      </figure>
      <div class="no-print">
        {part
          ? part.bends.length > 0 && <Slide label="Folded" from="blank" till="finished" value={fold} says={fold <= 0 ? 'flat blank' : fold >= 1 ? 'finished' : percent(fold)} set={setFold} />
          : <Slide label="Pulled apart" from="together" till="apart" value={apart} says={apart <= 0 ? 'together' : percent(apart)} set={setApart} />}
      </div>
      {pickedPart && pickedPart.sizes.length > 0 && (
        <div class="no-print"><Choice label="Sizes on the picture" shown value={sizes} of={[['main', 'Outside'], ['holes', 'Holes'], ['all', 'All']]} pick={(v) => setSizes(v as 'main')} /></div>
      )}
      {part && <PartFacts part={part} kit={kit} alone units={units} touch={touch} change={state.dirty ? undefined : (path, value) => void state.set(path, value)} sized={look.sizes.length > 0} />}
      <Figures look={look} currency={currency} checking={state.checking} whole={!!part} />
      {!part && pickedPart && <PartFacts part={pickedPart} kit={kit} alone={false} units={units} touch={touch} />}
      {part?.drawing && <PartLayers part={part} state={state} />}
      <Parts look={look} kit={kit} now={pickedPart?.part ?? null} />
      <section class="stack" aria-labelledby="found">
        <h2 id="found">Findings</h2>
        <FindingList findings={part ? look.findings.filter((f) => f.part === part.part) : look.findings} sign={sign} links={(f) => [...(toLine(f) ?? []), ...onPart(f)]} />
      </section>
    </>
  )
}
