// What is asked of the server and shown when it comes: waiting, there, or refused with its reason.
import { useEffect, useRef, useState } from 'preact/hooks'

export interface Loaded<A> { data: A | null; error: string | null; waiting: boolean; again: () => void }

/// Asks whenever `key` changes. The last answer stays in view while a newer one is on its way.
export function useLoad<A>(key: string, ask: () => Promise<A>): Loaded<A> {
  const [state, set] = useState<{ key: string; data: A | null; error: string | null; waiting: boolean }>(
    { key: '', data: null, error: null, waiting: true })
  const [turn, setTurn] = useState(0)
  const latest = useRef('')
  useEffect(() => {
    const mine = `${key}#${turn}`
    latest.current = mine
    set((s) => ({ ...s, waiting: true, error: null }))
    ask().then(
      (data) => { if (latest.current === mine) set({ key, data, error: null, waiting: false }) },
      (err: Error) => { if (latest.current === mine) set((s) => ({ key, data: s.key === key ? s.data : null, error: err.message, waiting: false })) },
    )
  }, [key, turn])
  return { data: state.data, error: state.error, waiting: state.waiting, again: () => setTurn((n) => n + 1) }
}
