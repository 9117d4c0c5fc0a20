// The layers of the drawing that a part is cut from: what each is for can be changed here.
import { useState } from 'preact/hooks'
import { api, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { to } from '../place'
import { Layers, toldRoles } from '../draw/layers'
import type { Part, Roles } from '../types'
import { Oops, Waiting } from '../ui/parts'
import type { KitState } from './state'

export function PartLayers({ part, state }: { part: Part; state: KitState }) {
  const name = part.drawing!.replace(/^drawings\//, '')
  const folder = useCell(shop)!
  const hash = folder.drawings.find((d) => d.name === name)?.hash ?? ''
  const roles = part.layers ?? {}
  const got = useLoad(`${name} ${hash} ${JSON.stringify(roles)}`, () => api.drawing(name, roles))
  const [busy, work] = useState(false)
  async function set(next: Roles): Promise<void> {
    work(true)
    await state.layers(part.part, next)
    work(false)
  }
  return (
    <section class="panel stack no-print" aria-labelledby="layers">
      <div class="row spread"><h2 id="layers">Layers of its drawing</h2><a class="button plain" href={to('drawings', name)} onClick={() => toldRoles.set(name, roles)}>Look at {name}</a></div>
      {got.error ? <Oops says={got.error} again={got.again} /> : !got.data ? <Waiting says="Reading the drawing" /> : <Layers d={got.data} roles={roles} set={(r) => void set(r)} busy={busy || state.dirty} />}
      {state.dirty && <p class="small">Write or leave what you typed first; then layers can be changed here.</p>}
    </section>
  )
}
