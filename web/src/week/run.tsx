// One run: findings first, then everything that it planned.
import { useEffect, useState } from 'preact/hooks'
import { api, fileUrl, kitFile, shop, signFromRun } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { go, to } from '../place'
import type { Finding, Run } from '../types'
import { FindingList, tally } from '../ui/findings'
import { later } from '../ui/later'
import { Fact, Oops, PrintButton, Waiting, Wide } from '../ui/parts'
import { day, system } from '../units'
import { Buy, Cost, Hours } from './money'
import { Files } from './files'

export interface SectionProps { run: Run; name: string; item: string | undefined }
const Sheets = later<SectionProps>(() => import('./sheets').then((m) => m.Sheets))
const Bending = later<SectionProps>(() => import('./brake').then((m) => m.Bending))
const Tubes = later<SectionProps>(() => import('./tubes').then((m) => m.Tubes))
const Saw = later<SectionProps>(() => import('./saw').then((m) => m.Saw))
const Cartons = later<SectionProps>(() => import('./cartons').then((m) => m.Cartons))

const sections: [string, string, (r: Run) => number][] = [
  ['findings', 'Findings', (r) => r.findings.length], ['sheets', 'Sheets', (r) => r.sheets.length], ['bending', 'Bending', (r) => r.brake.length],
  ['tube', 'Tube', (r) => r.tubes.filter((t) => t.bends.length).length], ['saw', 'Saw list', (r) => r.sticks.length], ['cartons', 'Cartons', (r) => r.cartons.length],
  ['buy', 'To buy', (r) => r.buy.length], ['hours', 'Hours', () => 0], ['cost', 'Cost', () => 0], ['files', 'Files', () => 0],
]

export function RunPage({ names }: { names: string[] }) {
  const name = names[1]
  const now = names[2] ?? 'findings'
  const folder = useCell(shop)!
  useCell(system)
  const stamp = folder.runs.find((r) => r.run === name)?.date ?? ''
  const got = useLoad(`run ${name} ${stamp} ${folder.version}`, () => api.run(name))
  useEffect(() => { document.querySelector('.sections a[aria-current]')?.scrollIntoView({ block: 'nearest', inline: 'nearest' }) }, [now, !!got.data])
  if (got.error && !got.data) return <Oops says={got.error} again={() => go('week')} />
  if (!got.data || (got.waiting && got.data.run !== name)) return <Waiting says={`Opening ${name}`} />
  const run = got.data
  const p: SectionProps = { run, name, item: names[3] }
  return (
    <div class="stack">
      <div class="row spread">
        <div>
          <p class="small no-print"><a href={to('week')}>Week</a></p>
          <h1>{run.run}</h1>
          <p class="small">planned for {day(run.date)}</p>
        </div>
        <div class="row no-print"><a class="button" target="_blank" rel="noreferrer" href={fileUrl(name, 'packet.pdf')}>Packet to print (PDF)</a><PrintButton /></div>
      </div>
      <nav class="sections no-print" aria-label="Parts of the run">
        {sections.map(([key, says, count]) => (
          <a key={key} href={to('week', name, key)} aria-current={now === key ? 'page' : undefined}>{says}{count(run) ? ` (${count(run)})` : ''}</a>
        ))}
      </nav>
      {now === 'findings' && <Findings run={run} />}
      {now === 'sheets' && <Sheets {...p} />}
      {now === 'bending' && <Bending {...p} />}
      {now === 'tube' && <Tubes {...p} />}
      {now === 'saw' && <Saw {...p} />}
      {now === 'cartons' && <Cartons {...p} />}
      {now === 'buy' && <Buy run={run} />}
      {now === 'hours' && <Hours run={run} />}
      {now === 'cost' && <Cost run={run} />}
      {now === 'files' && <Files run={run} name={name} />}
    </div>
  )
}

function lookAt(f: Finding): { says: string; act: () => void }[] {
  const kit = kitFile(f.kit)
  if (!kit) return []
  return [f.part ? { says: `Look at ${f.part}`, act: () => go('kits', kit, 'part', f.part!) } : { says: `Look at ${kit}`, act: () => go('kits', kit) }]
}

function Findings({ run }: { run: Run }) {
  const [level, setLevel] = useState('all')
  const [fresh, sign] = useState<Finding[]>([]) // signed since the run
  const told = run.findings.map((f) => (fresh.includes(f) ? { ...f, signed: 'now; run the week again to have it on the papers' } : f))
  const shown = told.filter((f) => level === 'all' || f.level === level)
  return (
    <section class="stack" aria-label="Findings">
      <dl class="facts figures"><Fact name="Found" bad={run.findings.some((f) => f.level === 'stop')}>{tally(run.findings)}</Fact>
        <Fact name="Kits that can be boxed">{run.kits.reduce((n, k) => n + k.boxed, 0)} of {run.kits.reduce((n, k) => n + k.count, 0)}</Fact></dl>
      {run.left_out.length > 0 && (
        <div class="told stop">
          <h2>Left out</h2>
          <ul>{run.left_out.map((l, n) => <li key={n}><strong>{l.count} x {l.part ? `${l.kit}/${l.part}` : l.kit}</strong>: {l.why}</li>)}</ul>
        </div>
      )}
      <p class="row no-print">
        {['all', 'stop', 'risk', 'note'].map((l) => <button key={l} class="plain" aria-pressed={level === l} onClick={() => setLevel(l)}>{l === 'all' ? 'All' : `Only ${l}s`}</button>)}
      </p>
      <FindingList findings={shown} none={run.findings.length ? 'None of this level.' : undefined}
        links={lookAt} sign={async (f, s) => {
          const wrong = await signFromRun(f.kit!, s)
          // one signature holds for all findings of its rule in its part
          if (wrong === null) sign([...fresh, ...run.findings.filter((o) => o.rule === f.rule && o.kit === f.kit && o.part === f.part)])
          return wrong
        }} />
      <Wide label="Kits">
        <table><caption class="unseen">Kits of this run</caption>
          <thead><tr><th>Kit</th><th>Revision</th><th class="number">Wanted</th><th class="number">Can be boxed</th><th>Due</th></tr></thead>
          <tbody>{run.kits.map((k, n) => <tr key={n}><td>{k.title}</td><td>{k.revision}</td><td class="number">{k.count}</td><td class="number">{k.boxed}</td><td>{day(k.due)}</td></tr>)}</tbody>
        </table>
      </Wide>
    </section>
  )
}
