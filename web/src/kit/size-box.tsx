// The size that was touched: its old value, a new one to type.
import { useEffect, useRef, useState } from 'preact/hooks'
import type { Size } from '../types'
import { worded } from '../units'

export function SizeBox(p: { size: Size; units: string; set: (value: string) => void; leave: () => void; line: () => void }) {
  const [value, type] = useState(p.size.value)
  const field = useRef<HTMLInputElement>(null)
  useEffect(() => { field.current?.focus(); field.current?.select() }, [])
  const same = value.trim() === p.size.value || !value.trim()
  return (
    <form class="size-box" aria-label={`Change ${p.size.says}`} onSubmit={(ev) => { ev.preventDefault(); if (!same) p.set(value.trim()) }}
      onKeyDown={(ev) => { if (ev.key === 'Escape') p.leave() }}>
      <label class="field">{p.size.says}, now {worded(p.size.value, p.size.kind, p.units)}
        <span class="row">
          <input ref={field} value={value} size={12} autocomplete="off" spellcheck={false} onInput={(ev) => type(ev.currentTarget.value)} />
          <span>{/[a-z]/i.test(value) || ['step', 'word'].includes(p.size.kind) ? '' : p.size.kind === 'angle' ? '\u00b0' : p.units}</span>
        </span>
      </label>
      <p class="row">
        <button disabled={same}>Set it</button>
        <button type="button" class="plain" onClick={p.leave}>Leave it</button>
        <button type="button" class="plain" onClick={p.line}>Line {p.size.line} of the text</button>
      </p>
    </form>
  )
}
