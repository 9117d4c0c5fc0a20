// Monday: five figures, each with what to do about it.
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { api, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { to } from '../place'
import type { Monday as Figures } from '../types'
import { Empty, Oops, PrintButton, Waiting, Wide } from '../ui/parts'
import { day, hours, money, system } from '../units'

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
      {folder.error && <p class="told stop" role="alert">shop.yaml can't be read: line {folder.error.line}: {folder.error.text}</p>}
      {got.error && <Oops says={got.error} again={got.again} />}
      {!got.data && !got.error && <Waiting says="Reading the week's orders" />}
      {got.data?.orders_error && got.data.orders_error.line > 0 && <p class="told stop" role="alert">orders.csv can't be read: line {got.data.orders_error.line}: {got.data.orders_error.text}</p>}
      {got.data && !got.data.run && <Empty says="No week is planned yet: type or paste the orders and run the week; then the five figures stand here."><a class="button" href={to('week')}>To the week</a></Empty>}
      {got.data?.run && <Five m={got.data} currency={folder.currency} />}
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

/// What to do about short steel: the first day on which something must be ordered.
function orderBy(m: Figures): string {
  const steel = m.steel ?? []
  if (!steel.length) return 'What is on hand suffices.'
  const days = steel.flatMap((s) => (s.last_day ? [s.last_day] : [])).sort()
  const unsaid = days.length < steel.length ? ' Where none is known, shop.yaml does not say how long a delivery takes (delivery_days).' : ''
  if (!days.length) return `Order so that it is here by the day it is needed.${unsaid}`
  if (days[0] < m.date) return `Some of it should have been ordered by ${day(days[0])}: ring the supplier, or move those orders.${unsaid}`
  return `${days[0] === m.date ? 'Order today' : `Order by ${day(days[0])}`}, or the week slips.${unsaid}`
}

function Five({ m, currency }: { m: Figures; currency: string }) {
  const late = m.late ?? [], steel = m.steel ?? [], held = m.held_up ?? []
  const tight = m.hours?.find((h) => h.tightest)
  const over = tight ? tight.hours > tight.available : false
  const loss = Number(m.profit?.profit ?? 0) < 0
  const cards = [ // what wants doing comes first
    <Card key="late" title="Orders that will miss their date" bad={late.length > 0} figure={String(late.length)} says={m.promise ? `An order of today can be promised for ${day(m.promise)}.` : 'No date can be promised: see what is tight.'}>
      <List name="Late orders" head={['Order', 'Kit', 'Due', 'Ready']} of={late.map((l) => [l.order, `${l.count} x ${l.kit}`, day(l.due), l.ready ? day(l.ready) : l.why])} />
    </Card>,
    <Card key="steel" title="Sheets and sticks that are short" bad={steel.length > 0} figure={String(steel.reduce((n, s) => n + s.short, 0))}
      says={orderBy(m)}>
      <List name="Short steel" head={['What', 'Short', 'Here by', 'Order by']} of={steel.map((s) => [s.what, `${s.short} ${s.unit}${s.short > 1 ? 's' : ''}`, day(s.needed_by), s.last_day ? `${day(s.last_day)}${s.last_day < m.date ? ': too late' : s.last_day === m.date ? ': today' : ''}` : 'not known'])} />
    </Card>,
    <Card key="hours" title="Hours at the tightest bench" bad={over} figure={tight ? `${tight.hours.toFixed(1)} of ${hours(tight.available)}` : '-'}
      says={tight ? `The ${tight.machine}: ${over ? `${hours(tight.hours - tight.available)} too few` : `${hours(tight.available - tight.hours)} to spare`}.` : 'No bench is loaded.'} />,
    <Card key="held" title="Kits held up by one part" bad={held.length > 0} figure={String(held.length)} says={held.length ? 'Each lacks this one part alone.' : 'No kit waits for a single part.'}>
      <List name="Kits held up" head={['Kit', 'Part', 'Boxes', 'Why']} of={held.map((h) => [h.kit, h.part, String(h.boxes), h.why])} />
    </Card>,
    <Card key="profit" title="Profit in this week's orders" bad={loss} figure={m.profit ? money(m.profit.profit, currency) : '-'}
      says={m.profit ? `Sales ${money(m.profit.sales, currency)}, cost ${money(m.profit.cost, currency)}, at today's price of steel.` : 'Not known yet.'} />,
  ]
  return (
    <>
      <p>From the run <a href={to('week', m.run!)}>{m.run}</a>, planned for {day(m.run_date!)}.</p>
      <div class="mondays">{cards.sort((a, b) => Number(b.props.bad) - Number(a.props.bad))}</div>
    </>
  )
}

function List({ of, head, name }: { of: string[][]; head: string[]; name: string }) {
  if (!of.length) return null
  return (
    <Wide label={name}>
      <table><caption class="unseen">{name}</caption>
        <thead><tr>{head.map((h) => <th key={h}>{h}</th>)}</tr></thead>
        <tbody>{of.map((r, n) => <tr key={n}>{r.map((c, k) => <td key={k}>{c}</td>)}</tr>)}</tbody>
      </table>
    </Wide>
  )
}
