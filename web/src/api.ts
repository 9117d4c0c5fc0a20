// The only place that speaks to the server. Errors are one kind; a silent server is one state.
import { Cell } from './cell'
import { setShopUnit } from './units'
import type * as T from './types'

export class ApiError extends Error {
  constructor(readonly status: number, text: string, readonly where: T.FileError | null, readonly hash: string) {
    super(text)
  }
}

export const reachable = new Cell(true)
export const shop = new Cell<T.Shop | null>(null)
export const shopError = new Cell<string | null>(null)

const token = document.querySelector('meta[name=token]')?.getAttribute('content') ?? ''

async function send(method: string, path: string, body?: BodyInit | null): Promise<Response> {
  const headers: Record<string, string> = {}
  if (method !== 'GET') headers['X-Kitwright-Token'] = token
  if (typeof body === 'string') headers['Content-Type'] = 'application/json'
  let answer: Response
  try {
    answer = await fetch(path, { method, headers, body, cache: 'no-store' })
  } catch {
    reachable.value = false
    throw new ApiError(0, 'The program does not answer. Is it still running?', null, '')
  }
  reachable.value = true
  if (answer.ok) return answer
  let said: { error?: string; where?: T.FileError | null; hash?: string } = {}
  try { said = await answer.json() } catch { /* an answer without a body */ }
  throw new ApiError(answer.status, said.error ?? `The program answered ${answer.status}.`, said.where ?? null, said.hash ?? '')
}
async function json<A>(method: string, path: string, body?: unknown): Promise<A> {
  const raw = body instanceof ArrayBuffer || body instanceof Blob
  const answer = await send(method, path, body === undefined ? null : raw ? (body as BodyInit) : JSON.stringify(body))
  return answer.json() as Promise<A>
}

const e = encodeURIComponent
/// `having` null: the options as they normally are; empty: none of them.
function choice(size: string | null, having: string[] | null): string {
  const q = new URLSearchParams()
  if (size) q.set('size', size)
  if (having) q.set('with', having.join(','))
  const s = q.toString()
  return s ? `?${s}` : ''
}

function told(roles: T.Roles, was = ''): string {
  const q = new URLSearchParams()
  if (was) q.set('was', was)
  if (Object.keys(roles).length) q.set('layers', JSON.stringify(roles))
  const s = q.toString()
  return s ? `?${s}` : ''
}

export interface Choosing { size: string | null; having: string[] | null }
function chosen(c: Choosing): { size?: string; with?: string } {
  return { ...(c.size ? { size: c.size } : {}), ...(c.having ? { with: c.having.join(',') } : {}) }
}

export const api = {
  shop: () => json<T.Shop>('GET', '/api/shop'),
  kit: (kit: string, size: string | null, having: string[] | null) =>
    json<T.Look>('GET', `/api/kits/${e(kit)}${choice(size, having)}`),
  saveKit: (kit: string, text: string, was: string, c: Choosing) =>
    json<T.Look>('PUT', `/api/kits/${e(kit)}${choice(c.size, c.having)}`, { text, was }),
  tryKit: (kit: string, text: string, c: Choosing) => json<T.Look>('POST', `/api/kits/${e(kit)}/look`, { text, ...chosen(c) }),
  setValue: (kit: string, path: T.Path, value: string, was: string, c: Choosing) =>
    json<T.Look>('POST', `/api/kits/${e(kit)}/set`, { path, value, was, ...chosen(c) }),
  setLayers: (kit: string, part: string, layers: T.Roles, was: string, c: Choosing) =>
    json<T.Look>('POST', `/api/kits/${e(kit)}/layers`, { part, layers, was, ...chosen(c) }),
  sign: (kit: string, s: { risk: string; part: string | null; by: string; reason: string }, was: string, c: Choosing) =>
    json<T.Look>('POST', `/api/kits/${e(kit)}/signatures`, { ...s, was, ...chosen(c) }),
  addPart: (kit: string, part: string, from: ({ example: string } | { drawing: string; layers?: T.Roles; must_measure?: string }) & { stock?: string }, was: string, c: Choosing) =>
    json<T.Look>('POST', `/api/kits/${e(kit)}/parts`, { part, ...from, was, ...chosen(c) }),
  newKit: (kit: string, title: string, from: string | null, example: string | null) =>
    json<T.Look>('POST', '/api/kits', { kit, from, ...(title ? { title } : {}), ...(from ? {} : { example }) }),
  quote: (kit: string, count: number) => json<T.Quote>('GET', `/api/kits/${e(kit)}/quote?count=${count}`),
  lookQuote: (look: string, effort: 'quick' | 'full') => json<T.Quote>('GET', `/api/looks/${e(look)}/quote?count=1&effort=${effort}`),
  form: async (look: string, part: string, frames: number) =>
    (await send('GET', `/api/looks/${e(look)}/${e(part)}/form?frames=${frames}`)).arrayBuffer(),
  drawing: (name: string, roles: T.Roles) => json<T.Drawing>('GET', `/api/drawings/${e(name)}${told(roles)}`),
  tryDrawing: (name: string, bytes: ArrayBuffer, roles: T.Roles) => json<T.Drawing>('POST', `/api/drawings/${e(name)}/look${told(roles)}`, bytes),
  saveDrawing: (name: string, bytes: ArrayBuffer, was: string, roles: T.Roles) =>
    json<T.Drawing>('PUT', `/api/drawings/${e(name)}${told(roles, was)}`, bytes),
  orders: () => json<T.Orders>('GET', '/api/orders'),
  tryOrders: (text: string) => json<T.Orders>('POST', '/api/orders/look', { text }),
  saveOrders: (text: string, was: string | null) => json<T.Orders>('PUT', '/api/orders', { text, was }),
  monday: (date: string) => json<T.Monday>('GET', `/api/monday?date=${e(date)}`),
  start: (name: string, date: string, coupons: boolean, keep_going: boolean) =>
    json<{ job: string }>('POST', '/api/runs', { name, date, coupons, keep_going }),
  job: (id: string) => json<T.Job>('GET', `/api/jobs/${e(id)}`),
  cancel: (id: string) => json<unknown>('DELETE', `/api/jobs/${e(id)}`),
  run: (name: string) => json<T.Run>('GET', `/api/runs/${e(name)}`),
  torch: (name: string, sheet: string) => json<T.Torch>('GET', `/api/runs/${e(name)}/sheets/${e(sheet)}/torch`),
  brake: (name: string, part: string) => json<T.BrakePlay>('GET', `/api/runs/${e(name)}/brake/${part.split('/').map(e).join('/')}`),
  /// All strokes one after another, each of `frames` frames.
  brakeForm: async (name: string, part: string, frames: number) =>
    (await send('GET', `/api/runs/${e(name)}/brake/${part.split('/').map(e).join('/')}/form?frames=${frames}`)).arrayBuffer(),
  schema: (which: string) => json<Record<string, unknown>>('GET', `/api/schemas/${which}`),
}

export function fileUrl(run: string, path: string): string {
  return `/api/runs/${e(run)}/files/${path.split('/').map(e).join('/')}`
}

export function saveUrl(run: string, path: string): string { return `${fileUrl(run, path)}?download=1` }

export async function refreshShop(): Promise<void> {
  try {
    const now = await api.shop()
    setShopUnit(now.unit)
    shopError.value = null
    if (!shop.value || now.version !== shop.value.version) shop.value = now
  } catch (err) {
    if (!shop.value) shopError.value = (err as Error).message
  }
}

/// Looks at the folder every few seconds while the page is seen, so that a file changed outside shows.
export function watchShop(): void {
  void refreshShop()
  setInterval(() => { if (!document.hidden) void refreshShop() }, 3000)
}

/// Signs a risk that a run found, in the kit's file: the run's name of the kit says size and options.
export async function signFromRun(named: string, s: { risk: string; part: string | null; by: string; reason: string }): Promise<string | null> {
  const kit = kitFile(named)
  const row = shop.value?.kits.find((k) => k.kit === kit)
  if (!kit || !row) return 'The kit of this risk is not in the folder any more.'
  const rest = named === row.kit ? '' : named.slice(row.family.length)
  const size = row.sizes.find((z) => rest === `-${z}` || rest.startsWith(`-${z}-`)) ?? null
  try {
    const usual = await api.kit(kit, size, null)
    const having = usual.options.filter((o) => (o.normally ? !rest.includes(`-without-${o.name}`) : rest.includes(`-with-${o.name}`))).map((o) => o.name)
    const look = await api.sign(kit, s, usual.hash, { size, having })
    void refreshShop()
    return look.written ? null : look.error?.text ?? 'Not written.'
  } catch (err) { return (err as Error).message }
}

/// The kit file that a name in orders, runs and findings is of: such names may end in size and options.
export function kitFile(name: string | null): string | null {
  const kits = shop.value?.kits ?? []
  const fits = kits.filter((k) => name === k.family || name === k.kit || name?.startsWith(`${k.family}-`))
  return fits.sort((a, b) => b.family.length - a.family.length)[0]?.kit ?? null
}
