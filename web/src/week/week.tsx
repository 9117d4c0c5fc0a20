import { shop } from '../api'
import { useCell } from '../cell'
import { to } from '../place'
import { Empty, PrintButton } from '../ui/parts'
import { day } from '../units'
import { RunPanel } from './job'
import { OrdersTable } from './orders'

export function Week() {
  const folder = useCell(shop)!
  return (
    <div class="stack">
      <div class="row spread"><h1>The week</h1><PrintButton /></div>
      <RunPanel />
      <OrdersTable />
      <section class="stack" aria-labelledby="runs">
        <h2 id="runs">Runs</h2>
        {folder.runs.length === 0 ? <Empty says="No run yet: plan the week above." /> : (
          <ul class="cards">
            {[...folder.runs].reverse().map((r) => (
              <li key={r.run}><a class="card" href={to('week', r.run)}><h3>{r.run}</h3><p class="small">planned for {r.date ? day(r.date) : 'no date'}</p></a></li>
            ))}
          </ul>
        )}
      </section>
    </div>
  )
}
