// All kits of the shop, and a new one from an old one or from a plain example.
import { useEffect, useState } from 'preact/hooks'
import { api, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { go, to } from '../place'
import { Empty, Oops, Sheetlet } from '../ui/parts'
import { DropZone } from '../draw/drop'

export function KitList() {
  const now = useCell(shop)!
  const [making, make] = useState(false)
  return (
    <div class="stack">
      <div class="row spread">
        <h1>Kits</h1>
        <button onClick={() => make(true)}>New kit</button>
      </div>
      {now.kits.length === 0 && <Empty says="No kit yet. Most begin as a copy of an old one; the first begins as an example."><button onClick={() => make(true)}>New kit</button></Empty>}
      <ul class="cards">
        {now.kits.map((k) => (
          <li key={k.kit}>
            <a class="card" href={to('kits', k.kit)}>
              <Thumb kit={k.kit} hash={k.hash} broken={!!k.error} />
              <h2>{k.title || k.kit}</h2>
              <p class="small">{k.kit}, revision {k.revision || '-'}</p>
              {k.error
                ? <p class="told stop">Can't be read: line {k.error.line}: {k.error.text}</p>
                : <p>{k.parts} part{k.parts === 1 ? '' : 's'}{k.sizes.length ? `, sizes ${k.sizes.join(', ')}` : ''}{k.options.length ? `, options ${k.options.join(', ')}` : ''}</p>}
            </a>
          </li>
        ))}
      </ul>
      <section class="stack" aria-labelledby="drawings">
        <h2 id="drawings">Drawings</h2>
        <DropZone />
        {now.drawings.length > 0 && (
          <ul class="row list">
            {now.drawings.map((d) => <li key={d.name}><a class="button plain" href={to('drawings', d.name)}>{d.name}</a></li>)}
          </ul>
        )}
      </section>
      {making && <NewKit from={null} close={() => make(false)} />}
    </div>
  )
}

/// The kit's picture, drawn once the list stands and the code for it has come.
function Thumb({ kit, hash, broken }: { kit: string; hash: string; broken: boolean }) {
  const [url, set] = useState('')
  useEffect(() => {
    if (broken) return
    let over = false
    const theme = getComputedStyle(document.documentElement).getPropertyValue('--steel')
    void import('./thumb').then((m) => m.thumb(kit, hash, theme)).then((u) => { if (!over) set(u) }, () => {})
    return () => { over = true }
  }, [kit, hash, broken])
  return <div class="thumb">{url && <img src={url} alt="" width={320} height={180} />}</div>
}

export const examples: [string, string][] = [
  ['plate', 'A flat plate with four holes'], ['bracket', 'A bracket with one flange'], ['tube', 'A tube with two bends'],
]

/// What may stand in file names, out of what one types: blanks become hyphens.
export function shortName(text: string, typing = false): string {
  const s = text.normalize('NFKD').replace(/[\u0300-\u036f]/g, '').replace(/[^A-Za-z0-9_]+/g, '-').replace(/^-+/, '').slice(0, 40)
  return typing ? s : s.replace(/-+$/, '').toLowerCase()
}

export function NewKit({ from, close }: { from: string | null; close: () => void }) {
  const now = useCell(shop)!
  const [base, setBase] = useState(from ? `kit ${from}` : now.kits.length ? `kit ${now.kits[0].kit}` : 'example plate')
  const [title, setTitle] = useState('')
  const [own, setOwn] = useState<string | null>(null) // typed by hand; else it follows the title
  const name = own ?? shortName(title)
  const [error, setError] = useState<string | null>(null)
  const good = /^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$/.test(name)

  const taken = now.kits.some((k) => k.kit === name || k.family === name)

  async function make(ev: Event): Promise<void> {
    ev.preventDefault()
    const [kind, what] = base.split(' ')
    try {
      await api.newKit(name, title.trim(), kind === 'kit' ? what : null, kind === 'kit' ? null : what)
      await refreshShop()
      close()
      go('kits', name)
    } catch (err) { setError((err as Error).message) }
  }
  return (
    <Sheetlet title="New kit" close={close}>
      <form class="stack" onSubmit={(ev) => void make(ev)}>
        <label class="field">Begins as
          <select value={base} onChange={(ev) => setBase(ev.currentTarget.value)}>
            <optgroup label="A copy of">{now.kits.map((k) => <option key={k.kit} value={`kit ${k.kit}`}>{k.title || k.kit}</option>)}</optgroup>
            <optgroup label="A plain example">{examples.map(([v, says]) => <option key={v} value={`example ${v}`}>{says}</option>)}</optgroup>
          </select>
        </label>
        <label class="field">What it is called
          <input value={title} autofocus required maxLength={80} placeholder="Fire ring, large" onInput={(ev) => setTitle(ev.currentTarget.value)} />
        </label>
        <label class="field">Its short name, for files and labels (letters, digits, - and _)
          <input value={name} required maxLength={40} onInput={(ev) => setOwn(shortName(ev.currentTarget.value, true))} />
        </label>
        {taken && <p class="told risk">There is a kit {name} already.</p>}
        {name && !good && <p class="told risk">A name has letters, digits, - and _, and begins with a letter or digit.</p>}
        {error && <Oops says={error} />}
        <p class="row"><button disabled={!good || taken || !title.trim()}>Make it</button></p>
      </form>
    </Sheetlet>
  )
}
