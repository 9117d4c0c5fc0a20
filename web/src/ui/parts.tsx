// Small pieces that every view is put together from.
import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef } from 'preact/hooks'

export function Waiting({ says }: { says: string }) {
  return <p class="waiting" role="status"><span class="turning" aria-hidden="true" />{says}&hellip;</p>
}

export function Oops({ says, again }: { says: string; again?: () => void }) {
  return (
    <div class="oops" role="alert">
      <p>{says}</p>
      {again && <button onClick={again}>Try again</button>}
    </div>
  )
}

export function Empty({ says, children }: { says: string; children?: ComponentChildren }) {
  return <div class="empty"><p>{says}</p>{children}</div>
}

/// One of a few words, all of them in sight. Arrow keys move as in any set of radio buttons.
export function Choice(p: { label: string; value: string; of: [string, string][]; pick: (v: string) => void; shown?: boolean }) {
  const name = useId()
  return (
    <fieldset class="choice">
      <legend class={p.shown ? '' : 'unseen'}>{p.label}</legend>
      {p.of.map(([value, says]) => (
        <label key={value}>
          <input type="radio" name={name} checked={value === p.value} onChange={() => p.pick(value)} />
          <span>{says}</span>
        </label>
      ))}
    </fieldset>
  )
}

/// A slider with words at both ends and its state said in words.
export function Slide(p: { label: string; from: string; till: string; value: number; says: string; set: (v: number) => void; max?: number; step?: number }) {
  const id = useId()
  return (
    <div class="slide">
      <label for={id}>{p.label}</label>
      <span aria-hidden="true">{p.from}</span>
      <input id={id} type="range" min="0" max={p.max ?? 1} step={p.step ?? 0.01} value={p.value} aria-valuetext={p.says}
        onInput={(ev) => p.set(Number(ev.currentTarget.value))} />
      <span aria-hidden="true">{p.till}</span>
      <output for={id}>{p.says}</output>
    </div>
  )
}

export function Fact({ name, children, bad }: { name: string; children: ComponentChildren; bad?: boolean }) {
  return <div class={`fact${bad ? ' bad' : ''}`}><dt>{name}</dt><dd>{children}</dd></div>
}

/// A dialog of the browser's own kind: Escape closes it, and the keys stay inside.
export function Sheetlet(p: { title: string; close: () => void; children: ComponentChildren }) {
  const box = useRef<HTMLDialogElement>(null)
  const id = useId()
  useEffect(() => { box.current?.showModal() }, [])
  return (
    <dialog ref={box} class="sheetlet" aria-labelledby={id} onClose={p.close}
      onClick={(ev) => { if (ev.target === box.current) box.current?.close() }}>
      <div class="sheetlet-in">
        <div class="row spread">
          <h2 id={id}>{p.title}</h2>
          <button class="plain" onClick={() => box.current?.close()}>Close</button>
        </div>
        {p.children}
      </div>
    </dialog>
  )
}

/// A table. Where the page is narrow, one of many columns stands as a card a row, each value behind
/// its head; what is still too wide scrolls inside itself.
export function Wide({ label, children }: { label: string; children: ComponentChildren }) {
  const box = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const heads = [...box.current!.querySelectorAll('thead th')].map((th) => th.textContent ?? '')
    box.current!.classList.toggle('stacks', heads.length > 3)
    for (const row of box.current!.querySelectorAll('tbody tr')) [...row.children].forEach((cell, n) => { (cell as HTMLElement).dataset.head = heads[n] ?? '' })
  })
  return <div class="wide" ref={box} role="region" aria-label={label} tabIndex={0}>{children}</div>
}

export function PrintButton() {
  return <button class="plain no-print" onClick={() => print()}>Print this page</button>
}

/// One of several things to look at: links while they fit in a line or two, a list beyond.
export function Pick(p: { label: string; of: { key: string; says: string; href: string }[]; now: string }) {
  if (p.of.length > 10) {
    return (
      <label class="field no-print">{p.label}
        <select value={p.now} onChange={(ev) => { location.hash = p.of.find((o) => o.key === ev.currentTarget.value)!.href }}>
          {p.of.map((o) => <option key={o.key} value={o.key}>{o.says}</option>)}
        </select>
      </label>
    )
  }
  return (
    <nav class="sections no-print" aria-label={p.label}>
      {p.of.map((o) => <a key={o.key} href={o.href} aria-current={o.key === p.now ? 'page' : undefined}>{o.says}</a>)}
    </nav>
  )
}
