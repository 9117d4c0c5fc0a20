// Moving about on a flat picture: drag, pinch, wheel, keys. Scale is pixels a mm; y runs up.
import { useEffect, useRef, useState } from 'preact/hooks'
import type { RefObject } from 'preact'

export interface Sight { cx: number; cy: number; scale: number; w: number; h: number }
export interface Zoom {
  sight: Sight
  viewBox: string
  by: (factor: number, x?: number, y?: number) => void
  all: () => void
  on: Record<string, (ev: never) => void>
}

const MOST = 40 // pixels a mm

export function useZoom(box: RefObject<HTMLElement | null>, long: number, wide: number): Zoom {
  const [sight, set] = useState<Sight>({ cx: long / 2, cy: wide / 2, scale: 0, w: 1, h: 1 })
  const fingers = useRef(new Map<number, [number, number]>())
  const whole = useRef(true)
  const fit = (w: number, h: number): Sight => ({ cx: long / 2, cy: wide / 2, scale: Math.min(w / (long * 1.04), h / (wide * 1.06)), w, h })

  useEffect(() => {
    const el = box.current!
    whole.current = true
    const watch = new ResizeObserver(() => set((s) => (whole.current ? fit(el.clientWidth, el.clientHeight) : { ...s, w: el.clientWidth, h: el.clientHeight })))
    watch.observe(el)
    set(fit(el.clientWidth, el.clientHeight))
    return () => watch.disconnect()
  }, [long, wide])

  function by(factor: number, x?: number, y?: number): void {
    whole.current = false
    set((s) => {
      const least = Math.min(s.w / long, s.h / wide) / 2
      const scale = Math.min(MOST, Math.max(least, s.scale * factor))
      const dx = (x ?? s.w / 2) - s.w / 2, dy = (y ?? s.h / 2) - s.h / 2
      return { ...s, scale, cx: s.cx + dx / s.scale - dx / scale, cy: s.cy - dy / s.scale + dy / scale }
    })
  }
  function move(dx: number, dy: number): void {
    whole.current = false
    set((s) => ({ ...s, cx: s.cx - dx / s.scale, cy: s.cy + dy / s.scale }))
  }
  const all = () => { whole.current = true; set((s) => fit(s.w, s.h)) }
  const spot = (ev: MouseEvent): [number, number] => { const r = box.current!.getBoundingClientRect(); return [ev.clientX - r.left, ev.clientY - r.top] }

  const on = {
    onWheel: (ev: WheelEvent) => { // the wheel moves the page until the picture is taken up
      if (!ev.ctrlKey && document.activeElement !== ev.currentTarget) return
      ev.preventDefault()
      by(Math.exp(-ev.deltaY / 400), ...spot(ev))
    },
    onPointerDown: (ev: PointerEvent) => { fingers.current.set(ev.pointerId, spot(ev)); (ev.currentTarget as Element).setPointerCapture(ev.pointerId) },
    onPointerUp: (ev: PointerEvent) => { fingers.current.delete(ev.pointerId) },
    onPointerCancel: (ev: PointerEvent) => { fingers.current.delete(ev.pointerId) },
    onPointerMove: (ev: PointerEvent) => {
      const was = fingers.current.get(ev.pointerId)
      if (!was) return
      const now = spot(ev)
      const other = [...fingers.current.entries()].find(([id]) => id !== ev.pointerId)?.[1]
      fingers.current.set(ev.pointerId, now)
      if (!other) move(now[0] - was[0], now[1] - was[1])
      else by(Math.hypot(now[0] - other[0], now[1] - other[1]) / Math.max(1, Math.hypot(was[0] - other[0], was[1] - other[1])), other[0], other[1])
    },
    onKeyDown: (ev: KeyboardEvent) => {
      const steps: Record<string, [number, number]> = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }
      if (ev.ctrlKey || ev.metaKey || ev.altKey) return
      if (steps[ev.key]) move(...steps[ev.key])
      else if (ev.key === '+' || ev.key === '=') by(1.25)
      else if (ev.key === '-') by(0.8)
      else if (ev.key === '0') all()
      else return
      ev.preventDefault()
    },
  }
  const s = sight
  const half = [s.w / (s.scale || 1) / 2, s.h / (s.scale || 1) / 2]
  return { sight, by, all, on, viewBox: `${s.cx - half[0]} ${-(s.cy + half[1])} ${2 * half[0]} ${2 * half[1]}` }
}
