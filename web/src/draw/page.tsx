// A drawing of the shop folder, and the way from it to a part of a kit.
import { useState } from 'preact/hooks'
import { api, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { StockPick } from '../kit/stock'
import { useLoad } from '../load'
import { go, to } from '../place'
import { Oops, PrintButton, Waiting } from '../ui/parts'
import type { Roles } from '../types'
import { Layers, toldRoles, toldSizes } from './layers'
import { DrawingView } from './view'

export function DrawingPage({ names }: { names: string[] }) {
  const name = names[1] ?? ''
  const folder = useCell(shop)!
  const hash = folder.drawings.find((d) => d.name === name)?.hash ?? ''
  const [roles, setRoles] = useState<Roles>(toldRoles.get(name) ?? {})
  const got = useLoad(`${name} ${hash} ${JSON.stringify(roles)}`, () => api.drawing(name, roles))
  return (
    <div class="stack">
      <div class="row spread"><h1>{name}</h1><PrintButton /></div>
      {got.error ? <Oops says={got.error} again={got.again} /> : !got.data ? <Waiting says="Reading the drawing" /> : (
        <>
          <DrawingView name={name} d={got.data} />
          <Layers d={got.data} roles={roles} set={(r) => { toldRoles.set(name, r); setRoles(r) }} />
          {!got.data.error && <MakePart drawing={name} roles={roles} />}
        </>
      )}
      <p><a href={to('kits')}>Back to kits and drawings</a></p>
    </div>
  )
}

function MakePart({ drawing, roles }: { drawing: string; roles: Roles }) {
  const folder = useCell(shop)!
  const [kit, setKit] = useState(folder.kits[0]?.kit ?? '')
  const [part, setPart] = useState(drawing.replace(/\.\w+$/, ''))
  const [stock, setStock] = useState('')
  const [trouble, setTrouble] = useState<string | null>(null)
  async function make(ev: Event): Promise<void> {
    ev.preventDefault()
    try {
      const now = await api.kit(kit, null, null)
      const look = await api.addPart(kit, part, { drawing, layers: roles, must_measure: toldSizes.get(drawing), ...(stock ? { stock } : {}) }, now.hash, { size: null, having: null })
      if (!look.written) { setTrouble(look.error ? `Not written: line ${look.error.line}: ${look.error.text}` : 'Not written.'); return }
      await refreshShop()
      go('kits', kit, 'part', part)
    } catch (err) { setTrouble((err as Error).message) }
  }
  if (!folder.kits.length) return null
  return (
    <form class="panel stack no-print" aria-labelledby="make-part" onSubmit={(ev) => void make(ev)}>
      <h2 id="make-part">Make it a part</h2>
      <div class="row bottom">
        <label class="field">Of the kit
          <select value={kit} onChange={(ev) => setKit(ev.currentTarget.value)}>{folder.kits.map((k) => <option key={k.kit} value={k.kit}>{k.title || k.kit}</option>)}</select>
        </label>
        <StockPick tube={false} now={stock} pick={setStock} />
        <label class="field">Named<input value={part} required maxLength={40} pattern="[A-Za-z0-9][A-Za-z0-9_\-]*" onInput={(ev) => setPart(ev.currentTarget.value)} /></label>
        <button>Add it to the kit</button>
      </div>
      {trouble && <Oops says={trouble} />}
    </form>
  )
}
