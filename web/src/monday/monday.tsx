// Monday: five figures, each with what to do about it.
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { api, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { to } from '../place'
import { Empty, Oops, PrintButton, Waiting, Wide } from '../ui/parts'
import { hours, money, system } from '../units'

type Row = Record<string, unknown>
const text = (v: unknown) => (v === null || v === undefined || v === '' ? '-' : String(v))
const rows = (v: unknown): Row[] => (Array.isArray(v) ? v.filter((r): r is Row => !!r && typeof r === 'object') : [])

export function today(): string {
  const d = new Date()
  return `${d.getFullYear()}-${String(d.getMonth() + 1).padStart(2, '0')}-${String(d.getDate()).padStart(2, '0')}`
}

export function Monday() {
  const folder = useCell(shop)!
  useCell(system)
  const [date, setDate] = useState(today())
  const got = useLoad(`${date} ${folder.version}`, () => api.monday(date))
  return (
    <div class="stack">
      <div class="row spread bottom">
        <h1>Monday at {folder.name}</h1>
        <div class="row bottom">
          <label class="field no-print">As of<input type="date" value={date} onChange={(ev) => setDate(ev.currentTarget.value || today())} /></label>
          <PrintButton />
        </div>
      </div>
      {got.error && <Oops says={got.error} again={got.again} />}
      {!got.data && !got.error && <Waiting says="Reading the week's orders" />}
      {got.data && <Figures m={got.data} currency={folder.currency} />}
    </div>
  )
}

function Card({ title, figure, says, bad, children }: { title: string; figure: string; says: string; bad: boolean; children?: ComponentChildren }) {
  return (
    <section class={`panel monday${bad ? ' bad' : ''}`} aria-label={title}>
      <h2>{title}</h2>
      <p class="figure">{figure}</p>
      <p>{says}</p>
      {children}
    </section>
  )
}

function Figures({ m, currency }: { m: Row; currency: string }) {
  if (m.orders === 0) return <Empty says="No orders yet: type or paste them on the page Week."><a class="button" href={to('week')}>To the orders</a></Empty>
  const late = rows(m.late)
  const short = rows(m.short)
  const held = rows(m.held)
  const tight = (m.tightest ?? null) as Row | null
  const needed = Number(tight?.needed ?? tight?.hours ?? 0)
  const has = Number(tight?.available ?? 0)
  return (
    <div class="mondays">
      <Card title="Orders that will miss their date" bad={late.length > 0} figure={String(late.length)}
        says={`Can be promised today: ${text(m.promise)}`}>
        <List of={late} head={['Order', 'Kit', 'Due', 'Ready']} cells={(r) => [text(r.order), text(r.kit), text(r.due), text(r.ready)]} name="Late orders" />
      </Card>
      <Card title="Steel that is short" bad={short.length > 0} figure={String(short.length)}
        says={short.length ? 'Order by the last day, or the week slips.' : 'Sheets and sticks suffice.'}>
        <List of={short} head={['What', 'Short', 'Order by']} cells={(r) => [text(r.what), `${text(r.count ?? r.short)} ${text(r.unit ?? 'pieces')}`, text(r.last_day ?? r.order_by)]} name="Short steel" />
      </Card>
      <Card title="Hours at the tightest bench" bad={needed > has} figure={tight ? `${hours(needed)} of ${hours(has)}` : '-'}
        says={tight ? `At the ${text(tight.machine)}: ${needed > has ? `${hours(needed - has)} too few` : `${hours(has - needed)} to spare`}.` : 'No bench is loaded.'} />
      <Card title="Kits held up by one part" bad={held.length > 0} figure={String(held.length)} says={held.length ? 'Each lacks this one part alone.' : 'No kit waits for a single part.'}>
        <List of={held} head={['Kit', 'Part', 'Why']} cells={(r) => [text(r.kit), text(r.part), text(r.why)]} name="Kits held up" />
      </Card>
      <Card title="Profit in these orders" bad={Number(m.profit) < 0} figure={m.profit === null || m.profit === undefined ? '-' : money(text(m.profit), currency)} says="At today's price of steel in shop.yaml." />
    </div>
  )
}

function List({ of, head, cells, name }: { of: Row[]; head: string[]; cells: (r: Row) => string[]; name: string }) {
  if (!of.length) return null
  return (
    <Wide label={name}>
      <table><caption class="unseen">{name}</caption>
        <thead><tr>{head.map((h) => <th key={h}>{h}</th>)}</tr></thead>
        <tbody>{of.map((r, n) => <tr key={n}>{cells(r).map((c, k) => <td key={k}>{c}</td>)}</tr>)}</tbody>
      </table>
    </Wide>
  )
}
