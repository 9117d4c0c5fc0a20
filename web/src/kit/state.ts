// A kit as it is looked at: what the file says, what is typed and not yet written, and what the
// program says of it. Files stay the truth: nothing is written over a change made outside.
import { useEffect, useRef, useState } from 'preact/hooks'
import { api, ApiError, refreshShop, shop } from '../api'
import { useCell } from '../cell'
import { LastGood } from './last'
import type { Choosing } from '../api'
import type { Look, Path, Roles } from '../types'
import type { Signature } from '../ui/sign'

const PAUSE = 120 // ms of quiet before what was typed is checked

export interface KitState {
  look: Look | null
  draft: string // the text as typed
  loaded: number // counts the times that `draft` came from the file, not from typing
  dirty: boolean
  checking: boolean
  trouble: string | null // the last change that was refused
  changedOutside: boolean
  canUndo: boolean
  type: (text: string) => void
  save: () => Promise<void>
  set: (path: Path, value: string) => Promise<boolean>
  add: (part: string, from: ({ example: string } | { drawing: string; layers?: Roles; must_measure?: string }) & { stock?: string }) => Promise<boolean>
  layers: (part: string, roles: Roles) => Promise<boolean>
  sign: (s: Signature) => Promise<string | null> // what went wrong
  undo: () => Promise<void>
  takeTheirs: () => void
  keepMine: () => Promise<void>
  calm: () => void
}

export function useKit(kit: string, size: string | null, having: string[] | null): KitState {
  const folder = useCell(shop)
  const [look, setLook] = useState<Look | null>(null)
  const [draft, setDraft] = useState('')
  const typedNow = useRef('') // what the next answer must not overwrite
  const [loaded, setLoaded] = useState(0)
  const [written, setWritten] = useState({ text: '', hash: '' })
  const [checking, setChecking] = useState(false)
  const [trouble, setTrouble] = useState<string | null>(null)
  const [past, setPast] = useState<string[]>([])
  const last = useRef(new LastGood())
  const asked = useRef(0)
  const refusal = useRef('') // the last one in words
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  const choosing: Choosing = { size, having }
  const choice = `${size ?? ''}/${having?.join() ?? '-'}`
  const dirty = draft !== written.text
  const outside = folder?.kits.find((k) => k.kit === kit)?.hash
  const changedOutside = dirty && !!outside && !!written.hash && outside !== written.hash

  function take(raw: Look, isFile: boolean, typed: { path: Path; value: string } | null = null): void {
    const answer = last.current.mend(raw, typed)
    // A text that can't be read has no parts: the last picture that could be drawn stays.
    setLook((old) => (answer.error && old?.kit === answer.kit ? { ...old, error: answer.error, findings: answer.findings, text: answer.text } : answer))
    if (isFile) {
      setWritten({ text: answer.text, hash: answer.hash })
      put(answer.text)
    }
  }
  function put(text: string): void { typedNow.current = text; setDraft(text); setLoaded((n) => n + 1) }
  async function read(): Promise<void> {
    const mine = ++asked.current
    setChecking(true)
    try {
      const answer = await api.kit(kit, size, having)
      if (mine === asked.current) { take(answer, true); setTrouble(null) }
    } catch (err) {
      if (mine === asked.current) setTrouble((err as Error).message)
    }
    if (mine === asked.current) setChecking(false)
  }
  async function check(text: string): Promise<void> {
    const mine = ++asked.current
    setChecking(true)
    try {
      const answer = await api.tryKit(kit, text, choosing)
      if (mine === asked.current) { take(answer, false); setTrouble(null) }
    } catch (err) {
      if (mine === asked.current) setTrouble((err as Error).message)
    }
    if (mine === asked.current) setChecking(false)
  }

  useEffect(() => { last.current = new LastGood(); setPast([]); setLook(null); setWritten({ text: '', hash: '' }); put('') }, [kit])
  useEffect(() => { if (dirty) void check(draft); else void read() }, [kit, choice])
  useEffect(() => { // changed by another program while nothing was being typed: shown at once
    if (outside && written.hash && outside !== written.hash && !dirty) void read()
  }, [outside])

  function type(text: string): void {
    typedNow.current = text
    setDraft(text)
    clearTimeout(timer.current)
    timer.current = setTimeout(() => void check(text), PAUSE)
  }
  function refuse(says: string): void { refusal.current = says; setTrouble(says) }
  async function write(act: () => Promise<Look>, typed: { path: Path; value: string } | null = null): Promise<boolean> {
    clearTimeout(timer.current)
    const mine = ++asked.current
    const old = written.text
    const began = typedNow.current
    setChecking(true)
    let ok = false
    try {
      const answer = await act()
      if (answer.written) {
        ok = true
        setPast((p) => [...p.slice(-49), old])
        const typedOn = typedNow.current !== began // meanwhile: kept, and checked again
        take(answer, !typedOn, typed)
        if (typedOn) { setWritten({ text: answer.text, hash: answer.hash }); type(typedNow.current) }
        setTrouble(null)
      } else {
        refuse(answer.error ? `Not written: line ${answer.error.line}: ${answer.error.text}` : 'Not written.')
      }
      void refreshShop()
    } catch (err) {
      const e = err as ApiError
      refuse(e.status === 409 ? 'Not written: the file was changed outside meanwhile.' : e.message)
      void refreshShop()
    }
    if (mine === asked.current) setChecking(false)
    return ok
  }

  return {
    look, draft, loaded, dirty, checking, trouble, changedOutside, canUndo: past.length > 0 && !dirty, type,
    save: async () => { await write(() => api.saveKit(kit, draft, written.hash, choosing)) },
    set: (path, value) => write(() => api.setValue(kit, path, value, written.hash, choosing), { path, value }),
    add: (part, from) => write(() => api.addPart(kit, part, from, written.hash, choosing)),
    layers: (part, roles) => write(() => api.setLayers(kit, part, roles, written.hash, choosing)),
    sign: async (s) => ((await write(() => api.sign(kit, s, written.hash, choosing))) ? null : refusal.current),
    undo: async () => {
      const text = past[past.length - 1]
      if (text !== undefined && await write(() => api.saveKit(kit, text, written.hash, choosing))) setPast((p) => p.slice(0, -2))
    },
    takeTheirs: () => void read(),
    keepMine: async () => { await write(() => api.saveKit(kit, draft, outside ?? written.hash, choosing)) },
    calm: () => setTrouble(null),
  }
}
