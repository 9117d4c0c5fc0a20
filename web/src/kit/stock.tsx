// What a part is made of: one of the sheets or sticks that the shop file lists.
import { shop } from '../api'
import { useCell } from '../cell'

export function stocks(list: string[], tube: boolean): string[] {
  return list.filter((s, n, all) => all.indexOf(s) === n && (!tube || /round tube/.test(s)))
}

/// '' is the first of the list.
export function StockPick({ tube, now, pick }: { tube: boolean; now: string; pick: (stock: string) => void }) {
  const folder = useCell(shop)!
  const of = stocks(tube ? folder.sticks : folder.sheets, tube)
  return (
    <label class="field">Made of
      <select value={now || of[0]} onChange={(ev) => pick(ev.currentTarget.value)}>{of.map((s) => <option key={s} value={s}>{s}</option>)}</select>
    </label>
  )
}
