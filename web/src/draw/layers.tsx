// What each layer of a drawing is for: as the shop file says, or as told here for this one drawing.
import type { Drawing, Role, Roles } from '../types'
import { Wide } from '../ui/parts'

const words: [Role, string][] = [['cut', 'Cut'], ['bend up', 'Bend, up'], ['bend down', 'Bend, down'], ['mark', 'Mark'], ['ignore', 'Left out']]
/// Told by the layers below instead: not all of them have a role.
export function lacksRole(d: Drawing): boolean { return !!d.error && d.layers.some((l) => !l.role) && /has no role/.test(d.error.text) }

const spoken = (r: Role | null) => words.find(([w]) => w === r)?.[1].toLowerCase() ?? 'nothing'

/// Roles told for drawings that are not yet a part of anything, by the drawing's name.
export const toldRoles = new Map<string, Roles>()
/// Sizes told of them and found right, with their unit.
export const toldSizes = new Map<string, string>()

/// The same roles with one changed; the shop's own needs no telling.
function changed(roles: Roles, layer: string, role: Role, shops: Role | null): Roles {
  const { [layer]: _, ...others } = roles
  return role === shops ? others : { ...others, [layer]: role }
}

export function Layers(p: { d: Drawing; roles: Roles; set: (roles: Roles) => void; busy?: boolean }) {
  if (!p.d.layers.length) return null
  const unknown = p.d.layers.filter((l) => !l.role).length
  return (
    <div class="stack">
      {lacksRole(p.d) && <p class="told risk">{unknown === 1 ? 'One layer has' : `${unknown} layers have`} no role yet. Say below what each is for{/\.svg$/.test(p.d.name) ? '; a group or the colour of its lines is enough' : ''}.</p>}
      <Wide label="Layers">
        <table class="layers"><caption class="unseen">Layers and what they are taken for</caption>
          <thead><tr><th>Layer</th><th>Taken for</th><th>By the shop file</th></tr></thead>
          <tbody>{p.d.layers.map((l) => (
            <tr key={l.layer}>
              <td>{l.layer || '(no name)'}</td>
              <td><select value={l.role ?? ''} disabled={p.busy} aria-label={`Layer ${l.layer} is taken for`}
                onChange={(ev) => p.set(changed(p.roles, l.layer, ev.currentTarget.value as Role, l.shop_role))}>
                {!l.role && <option value="">not said</option>}
                {words.map(([w, says]) => <option key={w} value={w}>{says}</option>)}
              </select></td>
              <td class={l.role === l.shop_role ? 'small' : ''}>{spoken(l.shop_role)}{l.role !== l.shop_role && l.role ? ', changed here' : ''}</td>
            </tr>
          ))}</tbody>
        </table>
      </Wide>
    </div>
  )
}
