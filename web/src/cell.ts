// A value that views watch: the smallest thing that does for the few values shared by all views.
import { useEffect, useState } from 'preact/hooks'

export class Cell<T> {
  private watchers = new Set<() => void>()
  constructor(private now: T) {}
  get value(): T { return this.now }
  set value(v: T) {
    if (Object.is(v, this.now)) return
    this.now = v
    for (const w of [...this.watchers]) w()
  }
  watch(w: () => void): () => void {
    this.watchers.add(w)
    return () => { this.watchers.delete(w) }
  }
}

export function useCell<T>(cell: Cell<T>): T {
  const [, again] = useState(0)
  const seen = cell.value
  useEffect(() => {
    const stop = cell.watch(() => again((n) => n + 1))
    if (!Object.is(cell.value, seen)) again((n) => n + 1) // it changed before the watch began
    return stop
  }, [cell])
  return seen
}

/// A cell that is kept in the browser under `key`; what can't be kept is simply not kept.
export function keptCell<T extends string>(key: string, first: T, known: readonly T[]): Cell<T> {
  let was: string | null = null
  try { was = localStorage.getItem(key) } catch { /* storage may be closed */ }
  const cell = new Cell<T>(known.includes(was as T) ? (was as T) : first)
  cell.watch(() => { try { localStorage.setItem(key, cell.value) } catch { /* the same */ } })
  return cell
}
