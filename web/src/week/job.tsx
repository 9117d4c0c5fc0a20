// A run as it goes: started, watched, cancelled. A closed tab loses nothing: the job is asked for again.
import { useEffect, useState } from 'preact/hooks'
import { api, ApiError, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { go } from '../place'
import type { Job } from '../types'
import { percent } from '../units'
import { today } from '../monday/monday'

const KEY = 'kitwright-job'
function remember(id: string | null): void {
  try { if (id) sessionStorage.setItem(KEY, id); else sessionStorage.removeItem(KEY) } catch { /* not kept */ }
}
function remembered(): string | null {
  try { return sessionStorage.getItem(KEY) } catch { return null }
}
const going = (j: Job | null) => j?.state === 'waiting' || j?.state === 'running'

/// A week that is planned at the weekend begins on Monday.
function nextWorkday(date: string): string {
  const at = new Date(`${date}T12:00:00Z`)
  while (at.getUTCDay() % 6 === 0) at.setUTCDate(at.getUTCDate() + 1)
  return at.toISOString().slice(0, 10)
}

export function RunPanel() {
  const [job, setJob] = useState<Job | null>(null)
  const folder = useCell(shop)
  const [id, setId] = useState<string | null>(remembered() ?? folder?.job ?? null)
  const [trouble, setTrouble] = useState<string | null>(null)
  const [date, setDate] = useState(nextWorkday(today()))
  const [name, setName] = useState('')
  const [coupons, setCoupons] = useState(false)
  const [keepGoing, setKeepGoing] = useState(false)

  useEffect(() => { if (folder?.job && !id) setId(folder.job) }, [folder?.job]) // begun in another tab
  useEffect(() => {
    if (!id) return
    let over = false
    async function ask(): Promise<void> {
      try {
        const now = await api.job(id!)
        if (over) return
        setJob(now)
        if (going(now)) { setTimeout(() => void ask(), 400); return }
        remember(null)
        setId(null)
        await refreshShop()
        if (now.state === 'done' && now.run) go('week', now.run)
      } catch (err) {
        if (over) return
        if ((err as ApiError).status === 404) { remember(null); setId(null); return }
        setTimeout(() => void ask(), 1500) // the program may be back soon
      }
    }
    void ask()
    return () => { over = true }
  }, [id])

  async function start(ev: Event): Promise<void> {
    ev.preventDefault()
    setTrouble(null)
    setJob(null)
    try {
      const begun = await api.start(name || `week-${date}`, date, coupons, keepGoing)
      remember(begun.job)
      setId(begun.job)
    } catch (err) { setTrouble((err as Error).message) }
  }
  return (
    <section class="panel stack no-print" aria-labelledby="plan">
      <h2 id="plan">Plan the week</h2>
      {id ? (
        <div class="progress" role="status">
          <p>{job?.stage ? `Now: ${job.stage}` : 'Waiting to begin'}</p>
          <progress max={1} value={job?.whole ?? 0} aria-label="Progress of the run" />
          <p class="row spread"><span>{percent(job?.whole ?? 0)} of the run</span><button class="plain" onClick={() => void api.cancel(id).catch((err: Error) => setTrouble(err.message))}>Cancel the run</button></p>
        </div>
      ) : (
        <form class="row bottom" onSubmit={(ev) => void start(ev)}>
          <label class="field">First day<input type="date" required value={date} onChange={(ev) => setDate(ev.currentTarget.value)} /></label>
          <label class="field">Name<input value={name} placeholder={`week-${date}`} pattern="[A-Za-z0-9][A-Za-z0-9_\-]*" maxLength={40} onInput={(ev) => setName(ev.currentTarget.value)} /></label>
          <label class="tick"><input type="checkbox" checked={coupons} onChange={(ev) => setCoupons(ev.currentTarget.checked)} />cut coupons too</label>
          <label class="tick"><input type="checkbox" checked={keepGoing} onChange={(ev) => setKeepGoing(ev.currentTarget.checked)} />go on past what can't be made</label>
          <button>Run the week</button>
        </form>
      )}
      {job?.state === 'stopped' && <p class="told risk" role="status">The run was cancelled. Nothing was written.</p>}
      {job?.state === 'failed' && <p class="told stop" role="alert">The run failed: {job.error ?? 'no reason was given'}</p>}
      {trouble && <p class="told stop" role="alert">{trouble}</p>}
    </section>
  )
}
