// The bodies of a look's parts, fetched once each and kept until a newer look has its own.
import { useEffect, useState } from 'preact/hooks'
import { api } from '../api'
import { readForm } from '../three/form'
import type { Form } from '../three/form'
import type { Look, Part } from '../types'

const kept = new Map<string, Promise<Form>>()

export function formOf(look: string, part: string, frames: number): Promise<Form> {
  const key = `${look} ${part} ${frames}`
  let form = kept.get(key)
  if (!form) {
    form = api.form(look, part, frames).then(readForm)
    form.catch(() => kept.delete(key))
    kept.set(key, form)
    if (kept.size > 400) kept.delete(kept.keys().next().value!)
  }
  return form
}

export interface Forms { of: Look; forms: Map<string, Form>; missing: string[] }

/// The forms of `parts` of a look. What was there before stays until all of the new are.
export function useForms(look: Look | null, parts: Part[], frames: number): Forms | null {
  const [now, set] = useState<Forms | null>(null)
  const id = look ? look.look : ''
  const key = `${id} ${frames} ${parts.map((p) => p.part + (p.stale ?? '')).join(' ')}`
  useEffect(() => {
    if (!look || look.error) return
    let over = false
    void Promise.allSettled(parts.map((p) => (p.form ? formOf(p.stale ?? id, p.part, frames) : Promise.reject(new Error('no form'))))).then((all) => {
      if (over) return
      const forms = new Map<string, Form>()
      const missing: string[] = []
      all.forEach((a, n) => { if (a.status === 'fulfilled') forms.set(parts[n].part, a.value); else missing.push(parts[n].part) })
      set({ of: look, forms, missing })
    })
    return () => { over = true }
  }, [key, look?.error])
  return now
}
