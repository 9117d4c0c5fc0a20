import { api, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { to } from '../place'
import { Oops, PrintButton, Waiting } from '../ui/parts'
import { DrawingView } from './view'

export function DrawingPage({ names }: { names: string[] }) {
  const name = names[1] ?? ''
  const folder = useCell(shop)!
  const hash = folder.drawings.find((d) => d.name === name)?.hash ?? ''
  const got = useLoad(`${name} ${hash}`, () => api.drawing(name))
  const unit = folder.unit
  return (
    <div class="stack">
      <div class="row spread"><h1>{name}</h1><PrintButton /></div>
      {got.error ? <Oops says={got.error} again={got.again} /> : !got.data ? <Waiting says="Reading the drawing" /> : (
        <>
          <DrawingView name={name} d={got.data} />
          <div class="panel">
            <h2>To make it a part</h2>
            <p>Copy these lines under <code>parts:</code> in the text of a kit, and say the steel it is cut from:</p>
            <pre tabIndex={0} aria-label="Lines for the kit file">{`  ${name.replace(/\.\w+$/, '')}:\n    from: ${folder.sheets[0] ?? 'a sheet of the shop'}\n    per_kit: 1\n    flat: drawings/${name}\n    must_measure: ${got.data.size.map((v) => `${Math.round((unit === 'in' ? v / 25.4 : v) * 1000) / 1000} ${unit}`).join(' x ')}`}</pre>
          </div>
        </>
      )}
      <p><a href={to('kits')}>Back to kits and drawings</a></p>
    </div>
  )
}
