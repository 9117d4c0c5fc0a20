// The week's orders: typed, pasted or brought from a file, then written to orders.csv.
import { useEffect, useRef, useState } from 'preact/hooks'
import { api, ApiError, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { useLoad } from '../load'
import { today } from '../monday/monday'
import { Empty, Oops, Waiting, Wide } from '../ui/parts'
import { addRows, changeCell, COLUMNS, readOrders, readPasted, removeLine } from './csv'
import type { Column } from './csv'

const hints: Record<Column, string> = { order: 'Order', kit: 'Kit', size: 'Size', options: 'With', part: 'Part only', count: 'Count', due: 'Due' }

function inAWeek(): string {
  const at = new Date(`${today()}T12:00:00Z`)
  at.setUTCDate(at.getUTCDate() + 7)
  return at.toISOString().slice(0, 10)
}

export function OrdersTable() {
  const folder = useCell(shop)!
  const [text, setText] = useState<string | null>(null)
  const [was, setWas] = useState<{ text: string; hash: string | null }>({ text: '', hash: '' })
  const [trouble, setTrouble] = useState<string | null>(null)
  const [wrong, setWrong] = useState(0)
  const file = useRef<HTMLInputElement>(null)
  const got = useLoad(`orders ${folder.orders_hash}`, api.orders)
  const dirty = text !== null && text !== was.text
  useEffect(() => {
    if (!got.data || (dirty && was.hash !== '')) return
    setText(got.data.text)
    setWas({ text: got.data.text, hash: got.data.hash })
    setTrouble(got.data.error ? `Line ${got.data.error.line}: ${got.data.error.text}` : null)
    setWrong(got.data.error?.line ?? 0)
  }, [got.data])
  useEffect(() => { // what is typed is checked when typing pauses
    if (!dirty || text === null) return
    const id = setTimeout(() => {
      api.tryOrders(text).then((now) => {
        setWrong(now.error?.line ?? 0)
        setTrouble(now.error ? `Line ${now.error.line}: ${now.error.text}` : null)
      }, () => { /* told when it is written */ })
    }, 300)
    return () => clearTimeout(id)
  }, [text])
  if (got.error && text === null) return <Oops says={got.error} again={got.again} />
  if (text === null) return <Waiting says="Reading the orders" />
  const rows = readOrders(text)
  const outside = dirty && (folder.orders_hash || null) !== (was.hash || null)

  async function save(hash: string | null): Promise<void> {
    try {
      const now = await api.saveOrders(text!, hash)
      if (!now.written && now.error) { setWrong(now.error.line); setTrouble(`Not written: line ${now.error.line}: ${now.error.text}`); return }
      setWas({ text: text!, hash: now.hash })
      setTrouble(null)
      setWrong(0)
      await refreshShop()
    } catch (err) {
      const e = err as ApiError
      setWrong(e.where?.line ?? 0)
      setTrouble(e.status === 409 ? 'Not written: orders.csv was changed outside meanwhile.' : e.where ? `Not written: line ${e.where.line}: ${e.message}` : e.message)
      void refreshShop()
    }
  }
  function add(): void {
    const last = rows[rows.length - 1]?.cells
    setText(addRows(text!, [{ order: last && /^\d+$/.test(last.order) ? String(Number(last.order) + 1) : last ? '' : '1001', kit: last?.kit ?? folder.kits[0]?.kit ?? '', size: '', options: '', part: '', count: '1', due: last?.due ?? inAWeek() }]))
  }
  function paste(ev: ClipboardEvent): void {
    const pasted = ev.clipboardData?.getData('text/plain') ?? ''
    if (!/[\t\n]/.test(pasted.trim())) return // one cell: the field takes it
    ev.preventDefault()
    setText(addRows(text!, readPasted(pasted)))
  }
  return (
    <section class="stack orders" aria-labelledby="orders" onPaste={paste}>
      <div class="row spread">
        <h2 id="orders">Orders</h2>
        <div class="row no-print">
          <button class="plain" onClick={add}>Add a line</button>
          <button class="plain" onClick={() => file.current?.click()}>From a file</button>
          <input ref={file} type="file" accept=".csv,.txt,.tsv,text/csv" class="unseen" tabIndex={-1} aria-label="File of orders" onChange={(ev) => {
            const f = ev.currentTarget.files?.[0]
            if (f) void f.text().then((t) => setText(addRows(text, readPasted(t))))
            ev.currentTarget.value = ''
          }} />
        </div>
      </div>
      {outside && <p class="told risk row" role="alert">orders.csv was changed outside. Nothing has been written over it.
        <button class="plain" onClick={() => { setText(null); setWas({ text: '', hash: '' }); got.again() }}>Take what is in the file</button>
        <button class="plain" onClick={() => void save(folder.orders_hash)}>Write mine over it</button></p>}
      {dirty && <p class="told row no-print"><span>Changed here, not yet written.</span>
        <button disabled={outside} onClick={() => void save(was.hash)}>Write the orders</button>
        <button class="plain" onClick={() => setText(was.text)}>Leave them as they were</button></p>}
      {trouble && <p class="told stop" role="alert">{trouble}</p>}
      {rows.length === 0 && <Empty says="No orders. Add a line, paste rows from a spreadsheet here, or take them from a file." />}
      {rows.length > 0 && (
        <Wide label="Orders">
          <table>
            <caption class="unseen">Orders, one a line</caption>
            <thead><tr>{COLUMNS.map((c) => <th key={c}>{hints[c]}</th>)}<th class="no-print"><span class="unseen">Take out</span></th></tr></thead>
            <tbody>
              {rows.map((r, n) => (
                <tr key={n} class={r.line === wrong ? 'wrong' : ''}>
                  {COLUMNS.map((c) => (
                    <td key={c}>
                      <input aria-label={`${hints[c]}, line ${n + 1}`} value={r.cells[c]} class={c} inputMode={c === 'count' ? 'numeric' : undefined} placeholder={c === 'due' ? '2026-12-31' : undefined}
                        list={c === 'kit' ? 'kit-names' : c === 'size' || c === 'options' ? `${c}-of-${r.cells.kit}` : undefined} onInput={(ev) => setText(changeCell(text, r.line, c, ev.currentTarget.value))} />
                      <span class="on-paper" aria-hidden="true">{r.cells[c]}</span>
                    </td>
                  ))}
                  <td class="no-print"><button class="plain" aria-label={`Take out line ${n + 1}`} title="Take out" onClick={() => setText(removeLine(text, r.line))}>{'\u2715'}</button></td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      )}
      {folder.kits.filter((k) => k.sizes.length + k.options.length > 0).map((k) => (
        <>
          <datalist id={`size-of-${k.family}`}>{k.sizes.map((z) => <option key={z} value={z} />)}</datalist>
          <datalist id={`options-of-${k.family}`}>{k.options.flatMap((o) => [`with ${o}`, `without ${o}`]).map((o) => <option key={o} value={o} />)}</datalist>
        </>
      ))}
      <datalist id="kit-names">{folder.kits.map((k) => <option key={k.kit} value={k.family}>{k.title}</option>)}</datalist>
    </section>
  )
}
