// A risk is signed: who takes it on, and why. It stays signed until the part changes.
import { useState } from 'preact/hooks'
import type { Finding } from '../types'
import { Oops, Sheetlet } from './parts'

export interface Signature { risk: string; part: string | null; by: string; reason: string }

const KEY = 'kitwright-signs'
function lastHand(): string { try { return localStorage.getItem(KEY) ?? '' } catch { return '' } }

/// `sign` gives what went wrong, or null.
export function Sign({ finding, sign, close }: { finding: Finding; sign: (s: Signature) => Promise<string | null>; close: () => void }) {
  const [by, setBy] = useState(lastHand())
  const [reason, setReason] = useState('')
  const [trouble, setTrouble] = useState<string | null>(null)
  const [busy, work] = useState(false)
  async function put(ev: Event): Promise<void> {
    ev.preventDefault()
    work(true)
    try { localStorage.setItem(KEY, by.trim()) } catch { /* storage may be closed */ }
    const wrong = await sign({ risk: finding.rule, part: finding.part || null, by: by.trim(), reason: reason.trim() })
    work(false)
    if (wrong === null) close()
    else setTrouble(wrong)
  }
  return (
    <Sheetlet title={`Sign a risk of ${finding.part || finding.kit}`} close={close}>
      <p>{finding.says}</p>
      {finding.fix && <p class="fix">Would mend it instead: {finding.fix}</p>}
      <form class="stack" onSubmit={(ev) => void put(ev)}>
        <label class="field">Who takes it on<input value={by} required maxLength={60} autofocus={!by} autocomplete="name" onInput={(ev) => setBy(ev.currentTarget.value)} /></label>
        <label class="field">Why<input value={reason} required maxLength={200} autofocus={!!by} onInput={(ev) => setReason(ev.currentTarget.value)} /></label>
        <p class="small">Written into the kit file with today's date. It holds for this part as it is now: once the part changes, the risk is open again.</p>
        {trouble && <Oops says={trouble} />}
        <p class="row"><button disabled={busy || !by.trim() || !reason.trim()}>Sign it</button></p>
      </form>
    </Sheetlet>
  )
}
