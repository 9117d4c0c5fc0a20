// A sheet with its parts, what is left of it, and the torch on its way.
import { useMemo, useRef, useState } from 'preact/hooks'
import { kitFile, saveUrl } from '../api'
import { linePath, outlinePath } from '../draw/outline'
import { go, to } from '../place'
import type { Blank, Placement, Sheet } from '../types'
import { Empty, Fact, Pick, Wide } from '../ui/parts'
import { far, len, lens, mass, percent, taped, time } from '../units'
import { useZoom } from '../ui/zoom'
import type { SectionProps } from './run'
import { TorchPlayer } from './torch'

export function Sheets({ run, name, item }: SectionProps) {
  if (!run.sheets.length) return <Empty says="This run cuts no sheet." />
  const sheet = run.sheets.find((s) => s.id === item) ?? run.sheets[0]
  return (
    <div class="stack">
      <Pick label="Sheets" now={sheet.id} of={run.sheets.map((s) => ({ key: s.id, says: `${s.id}${s.times > 1 ? ` x ${s.times}` : ''}`, href: to('week', name, 'sheets', s.id) }))} />
      <SheetView key={sheet.id} sheet={sheet} blanks={run.blanks} run={name} />
    </div>
  )
}

function placed(p: Placement): string {
  return `translate(${p.x} ${p.y}) rotate(${p.rotation})${p.mirrored ? ' scale(-1 1)' : ''}`
}

function SheetView({ sheet, blanks, run }: { sheet: Sheet; blanks: Blank[]; run: string }) {
  const box = useRef<HTMLDivElement>(null)
  const canvas = useRef<HTMLCanvasElement>(null)
  const [here, point] = useState(-1)
  const long = Math.max(...sheet.outline.map((p) => p[0]))
  const wide = Math.max(...sheet.outline.map((p) => p[1]))
  const zoom = useZoom(box, long, wide)
  const known = useMemo(() => new Map(blanks.map((b) => [b.part, b])), [blanks])
  const counted = useMemo(() => {
    const n = new Map<string, number>()
    for (const p of sheet.placements) n.set(p.part, (n.get(p.part) ?? 0) + 1)
    return [...n].sort((a, b) => a[0].localeCompare(b[0]))
  }, [sheet])
  const part = sheet.placements[here]
  const blank = part && known.get(part.part)
  return (
    <section class="stack" aria-label={`Sheet ${sheet.id}`}>
      <dl class="facts figures">
        <Fact name="Sheet">{sheet.id}, {sheet.material}{sheet.painted ? `, drop ${sheet.painted}` : ''}, {lens([long, wide])}</Fact>
        <Fact name="Times to run">{sheet.times} x</Fact>
        <Fact name="Yield">{percent(sheet.density)}</Fact>
        <Fact name="Cutting">{time(sheet.cut_time)}, {sheet.pierces} pierces</Fact>
        <Fact name="Path cut">{far(sheet.cut_length)}</Fact>
        <Fact name="Kerf">{len(sheet.kerf)}</Fact>
        <Fact name="Mass of the sheet">{mass(sheet.mass)}</Fact>
        <Fact name="Drops">{sheet.drops.length ? sheet.drops.map((d, n) => <span key={n}>{dropSize(d)} </span>) : 'none'}</Fact>
      </dl>
      <div class="sheet-view" ref={box}>
        <svg viewBox={zoom.viewBox} tabindex={0} role="img" aria-label={`Map of sheet ${sheet.id}: ${sheet.placements.length} parts. Arrow keys move, plus and minus zoom, 0 shows all.`}
          onPointerLeave={() => point(-1)} {...(zoom.on as object)}>
          <g transform="scale(1 -1)">
            <path class="sheet-plate" vector-effect="non-scaling-stroke" d={linePath(sheet.outline, true)} />
            {sheet.keep_out?.map((k, n) => <path key={n} class="sheet-keep-out" vector-effect="non-scaling-stroke" d={linePath(k, true)}><title>A clamp, or a spoiled place: nothing lies here</title></path>)}
            {sheet.drops.map((d, n) => <path key={n} class="sheet-drop" vector-effect="non-scaling-stroke" d={linePath(d, true)} />)}
            {sheet.scrap_cuts.map((c, n) => <path key={n} class="sheet-scrap" vector-effect="non-scaling-stroke" d={linePath([c.from, c.to], false)} />)}
            {sheet.placements.map((p, n) => {
              const b = known.get(p.part)
              if (!b) return null
              return (
                <g key={n} transform={placed(p)} onPointerEnter={() => point(n)} onPointerDown={() => point(n)}>
                  <path class={`sheet-part${n === here || (part && part.part === p.part && here < 0) ? ' here' : ''}`} vector-effect="non-scaling-stroke" fill-rule="evenodd" d={outlinePath(b.outer) + b.holes.map(outlinePath).join('')} />
                </g>
              )
            })}
          </g>
        </svg>
        <canvas ref={canvas} aria-hidden="true" />
        <div class="turner no-print" role="group" aria-label="Zoom">
          <button class="plain" aria-label="Nearer" onClick={() => zoom.by(1.4)}>+</button>
          <button class="plain" aria-label="Farther" onClick={() => zoom.by(1 / 1.4)}>{'\u2212'}</button>
          <button class="plain" aria-label="See all" onClick={zoom.all}>{'\u25a1'}</button>
        </div>
      </div>
      <p class="said no-print" role="status">{part ? `${part.part}: at ${taped(part.x)}, ${taped(part.y)} from the corner, turned ${part.rotation}°${part.mirrored ? ', turned over' : ''}${blank ? `, ${mass(blank.mass)}` : ''}` : 'Point at a part to see its name.'}</p>
      <TorchPlayer run={run} sheet={sheet} sight={zoom.sight} canvas={canvas} />
      <Wide label="Parts on this sheet">
        <table><caption class="unseen">Parts on sheet {sheet.id}</caption>
          <thead><tr><th>Part</th><th class="number">On the sheet</th><th class="number">Mass of one</th><th class="no-print">Kit</th></tr></thead>
          <tbody>{counted.map(([name, n]) => {
            const [kit, own] = name.split('/')
            return (
              <tr key={name}><td>{name}</td><td class="number">{n}</td><td class="number">{known.has(name) ? mass(known.get(name)!.mass) : '-'}</td>
                <td class="no-print">{own && kitFile(kit) && <button class="plain" aria-label={`Look at it: ${name}`} onClick={() => go('kits', kitFile(kit)!, 'part', own.replace(/ (left|right)$/, ''))}>Look at it</button>}</td></tr>
            )
          })}</tbody>
        </table>
      </Wide>
      {sheet.program && <p><a class="button" href={saveUrl(run, sheet.program)} download={sheet.program.split('/').pop()}>Program {sheet.program_name}</a></p>}
    </section>
  )
}
function dropSize(d: [number, number][]): string {
  const [x, y] = [0, 1].map((a) => { const v = d.map((p) => p[a]); return Math.max(...v) - Math.min(...v) })
  return lens([x, y])
}
