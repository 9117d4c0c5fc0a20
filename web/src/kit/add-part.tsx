// A new part for a kit: from a plain example or from a drawing of the shop folder.
import { useState } from 'preact/hooks'
import { shop } from '../api'
import { useCell } from '../cell'
import { DropZone } from '../draw/drop'
import { toldRoles, toldSizes } from '../draw/layers'
import { go } from '../place'
import type { Look } from '../types'
import { Oops, Sheetlet } from '../ui/parts'
import { examples, shortName } from './list'
import { StockPick } from './stock'
import type { KitState } from './state'

export function AddPart({ look, state, close }: { look: Look; state: KitState; close: () => void }) {
  const folder = useCell(shop)!
  const [name, setName] = useState('')
  const [from, setFrom] = useState('example bracket')
  const [stock, setStock] = useState('')
  const [tried, setTried] = useState(false)
  const good = /^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$/.test(name) && !look.parts.some((p) => p.part === name)

  async function make(ev: Event): Promise<void> {
    ev.preventDefault()
    const [kind, ...what] = from.split(' ')
    setTried(true)
    const ok = await state.add(name, { ...(stock ? { stock } : {}), ...(kind === 'example' ? { example: what.join(' ') } : { drawing: what.join(' '), layers: toldRoles.get(what.join(' ')), must_measure: toldSizes.get(what.join(' ')) }) })
    if (ok) { close(); go('kits', look.kit, 'part', name) }
  }
  return (
    <Sheetlet title={`Add a part to ${look.title}`} close={close}>
      <form class="stack" onSubmit={(ev) => void make(ev)}>
        <label class="field">Begins as
          <select value={from} onChange={(ev) => { setFrom(ev.currentTarget.value); setStock('') }}>
            <optgroup label="A plain example">{examples.map(([v, says]) => <option key={v} value={`example ${v}`}>{says}</option>)}</optgroup>
            <optgroup label="A drawing">{folder.drawings.map((d) => <option key={d.name} value={`drawing ${d.name}`}>{d.name}</option>)}</optgroup>
          </select>
        </label>
        <StockPick tube={from === 'example tube'} now={stock} pick={setStock} />
        <label class="field">Its name (letters, digits, - and _)
          <input value={name} required maxLength={40} placeholder="side-plate" onInput={(ev) => setName(shortName(ev.currentTarget.value, true))} />
        </label>
        {name && !good && <p class="told risk">A name has letters, digits, - and _, and no other part has it.</p>}
        {state.dirty && <p class="told risk">Write or leave what you typed first.</p>}
        {tried && state.trouble && <Oops says={state.trouble} />}
        <p class="row"><button disabled={!good || state.dirty}>Add it</button></p>
      </form>
      <DropZone stay={(drawing) => { setFrom(`drawing ${drawing}`); if (!name) setName(drawing.replace(/\.\w+$/, '')) }} />
    </Sheetlet>
  )
}
