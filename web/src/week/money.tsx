// What to buy, hours of each machine, cost of each kit.
import { shop } from '../api'
import { useCell } from '../cell'
import type { Run } from '../types'
import { Empty, Wide } from '../ui/parts'
import { hours, money, percent } from '../units'

/// "sheets", "packs of 100"
function many(n: number, unit: string): string { return n === 1 ? unit : unit.replace(/^\w+/, (w) => `${w}s`) }

export function Buy({ run }: { run: Run }) {
  if (!run.buy.length) return <Empty says="Nothing to buy: the shop has what this run needs." />
  const sum = run.buy.reduce((n, b) => n + Math.round(Number(b.price) * 100), 0) / 100
  return (
    <Wide label="To buy">
      <table><caption class="unseen">What to buy</caption>
        <thead><tr><th>What</th><th class="number">Buy</th><th class="number">Needed</th><th class="number">On hand</th><th class="number">Price</th></tr></thead>
        <tbody>
          {run.buy.map((b, n) => (
            <tr key={n}><td>{b.what}</td><td class="number">{b.count} {many(b.count, b.unit)}</td><td class="number">{b.needed}</td><td class="number">{b.on_hand}</td><td class="number">{money(b.price, run.currency)}</td></tr>
          ))}
          <tr><td><strong>Together</strong></td><td /><td /><td /><td class="number"><strong>{money(sum, run.currency)}</strong></td></tr>
        </tbody>
      </table>
    </Wide>
  )
}

export function Hours({ run }: { run: Run }) {
  const most = Math.max(1, ...run.load.map((l) => Math.max(l.hours, l.available)))
  return (
    <div class="bars">
      {run.load.map((l) => (
        <div key={l.machine}>
          <p><strong>{l.machine}</strong>: {hours(l.hours)} of {hours(l.available)}{l.available > 0 ? `, ${percent(l.hours / l.available)}` : ''}{l.hours > l.available ? ': too much for the week' : ''}</p>
          <div class="bar-track" aria-hidden="true">
            <div class={`bar-fill${l.hours > l.available ? ' over' : ''}`} style={{ width: `${(l.hours / most) * 100}%` }} />
            <div class="bar-limit" style={{ left: `calc(${(l.available / most) * 100}% - 4px)` }} />
          </div>
        </div>
      ))}
      <p class="small">The bar is what this run needs, the upright line what the week has. Estimates, to be proven on a first piece.</p>
    </div>
  )
}

const lines: [keyof Run['cost'][0], string][] = [['material', 'Material'], ['machine', 'Machines'], ['labour', 'Labour'], ['hardware', 'Hardware'], ['packing', 'Packing'], ['total', 'Cost of one'], ['price', 'Price']]

export function Cost({ run }: { run: Run }) {
  const folder = useCell(shop)
  const title = (kit: string) => run.kits.find((k) => k.kit === kit)?.title ?? folder?.kits.find((k) => k.kit === kit)?.title ?? kit
  return (
    <Wide label="Cost">
      <table><caption class="unseen">Cost and price of one kit, in {run.currency}</caption>
        <thead><tr><th>Kit, one, in {run.currency}</th>{lines.map(([k, says]) => <th key={k} class="number">{says}</th>)}<th class="number">Margin</th></tr></thead>
        <tbody>
          {run.cost.map((c, n) => (
            <tr key={n}><td>{title(c.kit)}<br /><span class="small">{c.kit}</span></td>{lines.map(([k]) => <td key={k} class="number">{k === 'total' || k === 'price' ? <strong>{c[k]}</strong> : c[k]}</td>)}
              <td class="number">{Number(c.price) > 0 ? percent((Number(c.price) - Number(c.total)) / Number(c.price)) : '-'}</td></tr>
          ))}
        </tbody>
      </table>
    </Wide>
  )
}
