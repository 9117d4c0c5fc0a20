// Where a drawing is dropped or chosen: shown first, written only when told to.
import { useRef, useState } from 'preact/hooks'
import { api, ApiError, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { go } from '../place'
import type { Drawing, Roles } from '../types'
import { Oops, Sheetlet, Waiting } from '../ui/parts'
import { Layers, toldRoles } from './layers'
import { DrawingView } from './view'

interface Dropped { name: string; bytes: ArrayBuffer; answer: Drawing | null; error: string | null; roles: Roles }

const MOST = 16 * 1024 * 1024

function plainName(file: string): string {
  const [, stem, kind] = /^(.*?)\.(dxf|svg)$/i.exec(file) ?? ['', '', '']
  return kind ? `${stem.replace(/[^A-Za-z0-9_-]+/g, '-').replace(/^-+/, '').slice(0, 40) || 'drawing'}.${kind.toLowerCase()}` : ''
}

/// `stay`: after writing, the page that it stands on stays in view and hears the drawing's name.
export function DropZone({ stay }: { stay?: (name: string) => void }) {
  const folder = useCell(shop)!
  const [over, setOver] = useState(false)
  const [dropped, setDropped] = useState<Dropped | null>(null)
  const [refused, refuse] = useState<string | null>(null)
  const choose = useRef<HTMLInputElement>(null)

  async function take(file: File | undefined): Promise<void> {
    setOver(false)
    refuse(null)
    if (!file) return
    const name = plainName(file.name)
    if (!name) { refuse(`${file.name} is neither a .dxf nor an .svg file.`); return }
    if (file.size > MOST) { refuse(`${file.name} is larger than 16 MB.`); return }
    const bytes = await file.arrayBuffer()
    await look({ name, bytes, answer: null, error: null, roles: {} })
  }
  async function look(d: Dropped): Promise<void> {
    setDropped(d)
    try { setDropped({ ...d, answer: await api.tryDrawing(d.name, d.bytes, d.roles), error: null }) } catch (err) {
      const e = err as ApiError
      setDropped({ ...d, error: e.where ? `Line ${e.where.line}: ${e.message}` : e.message })
    }
  }
  async function write(): Promise<void> {
    const there = folder.drawings.find((d) => d.name === dropped!.name)
    try {
      const now = await api.saveDrawing(dropped!.name, dropped!.bytes, there?.hash ?? '', dropped!.roles)
      if (!now.written) throw new Error(now.error ? `Not written: line ${now.error.line}: ${now.error.text}` : 'Not written.')
      await refreshShop()
      const { name, roles } = dropped!
      toldRoles.set(name, roles)
      setDropped(null)
      if (stay) stay(name)
      else go('drawings', name)
    } catch (err) { setDropped({ ...dropped!, error: (err as Error).message }) }
  }
  const there = dropped && folder.drawings.some((d) => d.name === dropped.name)
  return (
    <div class={`drop-zone${over ? ' over' : ''}`} onDragOver={(ev) => { ev.preventDefault(); setOver(true) }} onDragLeave={() => setOver(false)}
      onDrop={(ev) => { ev.preventDefault(); void take(ev.dataTransfer?.files[0]) }}>
      <p>{stay ? 'Or drop' : 'Drop'} a drawing here (DXF or SVG) to see its outline, layers and size before anything is written.</p>
      <button class="plain" onClick={() => choose.current?.click()}>Choose a drawing</button>
      <input ref={choose} type="file" accept=".dxf,.svg" class="unseen" tabIndex={-1} aria-label="Drawing" onChange={(ev) => { void take(ev.currentTarget.files?.[0]); ev.currentTarget.value = '' }} />
      {refused && <Oops says={refused} />}
      {dropped && (
        <Sheetlet title={`Drawing ${dropped.name}`} close={() => setDropped(null)}>
          {dropped.error && <Oops says={dropped.error} />}
          {!dropped.answer && !dropped.error && <Waiting says="Reading the drawing" />}
          {dropped.answer && <DrawingView name={dropped.name} d={dropped.answer} />}
          {dropped.answer && <Layers d={dropped.answer} roles={dropped.roles} set={(roles) => void look({ ...dropped, roles })} />}
          {dropped.answer && !dropped.answer.error && (
            <p class="row">
              <button onClick={() => void write()}>{there ? 'Write it over the old drawing' : 'Put it into drawings/'}</button>
              {there && <span>A drawing of this name is there already.</span>}
            </p>
          )}
        </Sheetlet>
      )}
    </div>
  )
}
