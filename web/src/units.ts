// Numbers with their units, in the system that the switch says. Nothing is shown without a unit.
import { keptCell } from './cell'

export const system = keptCell<'shop' | 'in' | 'mm'>('kitwright-units', 'shop', ['shop', 'in', 'mm'])
let shopUnit: 'in' | 'mm' = 'in'
export function setShopUnit(u: 'in' | 'mm'): void { shopUnit = u }
export function inches(): boolean {
  return (system.value === 'shop' ? shopUnit : system.value) === 'in'
}

const IN = 25.4 // mm, exact (international yard, 1959)
const LB = 0.45359237 // kg, exact (the same)
const TON = 8.896443230521 // kN in 2000 pounds force

function fixed(v: number, digits: number): string {
  const s = v.toFixed(digits)
  return Number(s) === 0 && s.startsWith('-') ? s.slice(1) : s
}

/// A length as a tape shows it: `6`, `1-1/2`, `30-5/8`, to the nearest 1/64.
export function tape(mm: number): string {
  const n = Math.round((Math.abs(mm) / IN) * 64)
  const whole = Math.floor(n / 64)
  let part = n % 64
  let of = 64
  while (part && part % 2 === 0) { part /= 2; of /= 2 }
  const text = part ? (whole ? `${whole}-${part}/${of}` : `${part}/${of}`) : `${whole}`
  return mm < 0 && n ? `-${text}` : text
}

/// `1.500 in` or `38.1 mm`.
export function len(mm: number, digits = 3): string {
  return inches() ? `${fixed(mm / IN, digits)} in` : `${fixed(mm, Math.max(0, digits - 2))} mm`
}
/// `1-1/2 in` or `38.1 mm`: where one measures with a tape.
export function taped(mm: number): string {
  return inches() ? `${tape(mm)} in` : `${fixed(mm, 1)} mm`
}
/// Where a length adds up to many: feet or metres.
export function far(mm: number): string {
  return inches() ? `${fixed(mm / IN / 12, 1)} ft` : `${fixed(mm / 1000, 2)} m`
}
export function lens(mms: number[]): string {
  return inches() ? `${mms.map(tape).join(' x ')} in` : `${mms.map((v) => fixed(v, 1)).join(' x ')} mm`
}
export function mass(kg: number): string {
  return inches() ? `${fixed(kg / LB, kg < 45 ? 2 : 1)} lb` : `${fixed(kg, kg < 10 ? 3 : 1)} kg`
}
export function area(mm2: number): string {
  return inches() ? `${fixed(mm2 / IN / IN, 1)} sq in` : `${fixed(mm2 / 100, 1)} sq cm`
}
export function force(kN: number): string {
  return inches() ? `${fixed(kN / TON, 1)} tons` : `${fixed(kN, 1)} kN`
}
export function angle(deg: number): string { return `${fixed(deg, deg % 1 ? 1 : 0)}°` }
export function percent(part: number): string { return `${fixed(part * 100, 0)} %` }
export function money(amount: string | number, currency: string): string {
  return `${typeof amount === 'number' ? amount.toFixed(2) : amount} ${currency}`
}
export function speed(mmPerS: number): string {
  return inches() ? `${fixed((mmPerS * 60) / IN, 0)} in/min` : `${fixed((mmPerS * 60) / 1000, 2)} m/min`
}
export function time(s: number): string {
  if (s < 60) return `${fixed(s, s < 10 ? 1 : 0)} s`
  const min = Math.round(s / 60)
  if (s < 600) return `${Math.floor(s / 60)} min ${Math.floor(s % 60)} s`
  return min < 60 ? `${min} min` : `${Math.floor(min / 60)} h ${min % 60} min`
}
export function hours(h: number): string { return `${fixed(h, 1)} h` }
export function clock(s: number): string {
  const n = Math.max(0, Math.floor(s))
  return `${Math.floor(n / 60)}:${String(n % 60).padStart(2, '0')} min`
}

/// A size in a kit file in its own words; a bare number gets the unit that it has there.
export function worded(value: string, kind: string, fileUnit: string): string {
  const bare = /^[\d\s\-/.+]+$/.test(value)
  if (kind === 'angle') return bare ? `${value}\u00b0` : value
  const united = bare && kind !== 'step' && kind !== 'word' ? `${value} ${fileUnit}` : value
  return kind === 'diameter' ? `\u2300 ${united}` : kind === 'radius' ? `R ${united}` : united
}
/// Measured and limit of a finding, in its own unit.
export function inUnit(v: number, unit: string): string {
  switch (unit) {
    case 'mm': return len(v)
    case 'kg': return mass(v)
    case 'kN': return force(v)
    case 'deg': return angle(v)
    case 's': return time(v)
    case '': return `${Math.round(v * 1000) / 1000}`
    default: return `${Math.round(v * 1000) / 1000} ${unit}`
  }
}
const weekdays = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat']
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
/// `Fri 4 Dec`, as one says it; with the year where it is not this one. What is no date stays as it is.
export function day(date: string | null, now = new Date()): string {
  const m = /^(\d{4})-(\d\d)-(\d\d)$/.exec(date ?? '')
  if (!m) return date ?? '-'
  const at = new Date(Date.UTC(Number(m[1]), Number(m[2]) - 1, Number(m[3])))
  return `${weekdays[at.getUTCDay()]} ${at.getUTCDate()} ${months[at.getUTCMonth()]}${at.getUTCFullYear() === now.getFullYear() ? '' : ` ${at.getUTCFullYear()}`}`
}
