import { useEffect, useRef } from 'preact/hooks'
import type { ComponentType } from 'preact'
import { reachable, refreshShop, shop, shopError } from './api'
import { keptCell, useCell } from './cell'
import { place, to } from './place'
import { system, inches } from './units'
import { Choice, Oops, Waiting } from './ui/parts'
import { Guard } from './ui/guard'
import { later } from './ui/later'

type Names = { names: string[] }
const Monday = later<Names>(() => import('./monday/monday').then((m) => m.Monday))
const KitList = later<Names>(() => import('./kit/list').then((m) => m.KitList))
const KitPage = later<Names>(() => import('./kit/page').then((m) => m.KitPage))
const DrawingPage = later<Names>(() => import('./draw/page').then((m) => m.DrawingPage))
const Week = later<Names>(() => import('./week/week').then((m) => m.Week))
const RunPage = later<Names>(() => import('./week/run').then((m) => m.RunPage))

const doors = [
  { name: 'monday', says: 'Monday', hint: 'what is late, short and tight' },
  { name: 'kits', says: 'Kits', hint: 'look at them and change them' },
  { name: 'week', says: 'Week', hint: 'orders, the run and its papers' },
]

const theme = keptCell<'auto' | 'light' | 'dark'>('kitwright-theme', 'auto', ['auto', 'light', 'dark'])
function wear(): void {
  if (theme.value === 'auto') delete document.documentElement.dataset.theme
  else document.documentElement.dataset.theme = theme.value
}
theme.watch(wear)
wear()

function view(names: string[]): { Page: ComponentType<Names>; title: string } {
  const [door, first, second] = names
  if (door === 'kits' && first) return { Page: KitPage, title: `${first} - kit` }
  if (door === 'kits') return { Page: KitList, title: 'Kits' }
  if (door === 'drawings') return { Page: DrawingPage, title: 'Drawing' }
  if (door === 'week' && first) return { Page: RunPage, title: `${first}${second ? `, ${second}` : ''}` }
  if (door === 'week') return { Page: Week, title: 'Week' }
  return { Page: Monday, title: 'Monday' }
}

export function App() {
  const names = useCell(place)
  const now = useCell(shop)
  const failed = useCell(shopError)
  useCell(system)
  useCell(theme)
  const main = useRef<HTMLElement>(null)
  const { Page, title } = view(names)
  const where = `${names[0]}/${names[1] ?? ''}`
  const before = useRef(where)
  useEffect(() => {
    document.title = now ? `${title} - ${now.name}` : title
    if (before.current !== where) { // a new page: readers start at its top
      before.current = where
      main.current?.focus({ preventScroll: true })
      scrollTo(0, 0)
    }
  }, [where, title, now])

  return (
    <>
      <a class="skip" href="#main" onClick={(ev) => { ev.preventDefault(); main.current?.focus() }}>To the content</a>
      <header class="top">
        <p class="shop-name">{now?.name ?? 'Kitwright'}</p>
        <nav aria-label="Pages">
          {doors.map((d) => (
            <a key={d.name} href={to(d.name)} title={d.hint}
              aria-current={(names[0] ?? 'monday') === d.name || (d.name === 'kits' && names[0] === 'drawings') ? 'page' : undefined}>{d.says}</a>
          ))}
        </nav>
        <div class="switches">
          <Choice label="Units" value={inches() ? 'in' : 'mm'} of={[['in', 'in'], ['mm', 'mm']]}
            pick={(v) => { system.value = v as 'in' | 'mm' }} />
          <Choice label="Light" value={theme.value} of={[['auto', 'Auto'], ['light', 'Bright'], ['dark', 'Dim']]}
            pick={(v) => { theme.value = v as 'auto' | 'light' | 'dark' }} />
        </div>
      </header>
      <Offline />
      <main id="main" ref={main} tabIndex={-1}>
        {now ? <Guard key={where}><Page names={names} /></Guard> : failed ? <Oops says={failed} again={() => void refreshShop()} /> : <Waiting says="Opening the shop" />}
      </main>
    </>
  )
}

function Offline() {
  const there = useCell(reachable)
  if (there) return null
  return (
    <div class="offline" role="alert">
      <strong>The program does not answer.</strong> What you see is what it said last; changes wait here until it is
      back. Start it again with <code>kitwright serve</code>. If it is new, load this page again.
      <button onClick={() => void refreshShop()}>Try again</button>
    </div>
  )
}
