// What the schema says about a place in a kit file: its keys, its words, its meaning.
import type { Path } from '../types'

export interface Schema {
  $ref?: string; $defs?: Record<string, Schema>; description?: string; default?: unknown; enum?: unknown[]
  properties?: Record<string, Schema>; additionalProperties?: Schema | boolean; items?: Schema
  allOf?: Schema[]; anyOf?: Schema[]; oneOf?: Schema[]; required?: string[]; prefixItems?: Schema[]
}

/// A schema and all that it refers to or is put together from.
export function flat(root: Schema, s: Schema | undefined, deep = 0): Schema[] {
  if (!s || deep > 8) return []
  const named = s.$ref ? root.$defs?.[s.$ref.replace('#/$defs/', '')] : undefined
  return [s, ...flat(root, named, deep + 1), ...[...(s.allOf ?? []), ...(s.anyOf ?? []), ...(s.oneOf ?? [])].flatMap((x) => flat(root, x, deep + 1))]
}

export function at(root: Schema, path: Path): Schema[] {
  let now = flat(root, root)
  for (const step of path) {
    const next = now.flatMap((s) => {
      if (typeof step === 'number') return [s.prefixItems?.[step] ?? s.items]
      const other = typeof s.additionalProperties === 'object' ? s.additionalProperties : undefined
      return [s.properties?.[step] ?? other]
    })
    now = next.flatMap((s) => flat(root, s))
  }
  return now
}

export interface Word { says: string; help: string; kind: 'key' | 'word' }

export function keysAt(root: Schema, path: Path): Word[] {
  const seen = new Map<string, Word>()
  for (const s of at(root, path))
    for (const [key, v] of Object.entries(s.properties ?? {})) seen.set(key, { says: key, help: meaning(flat(root, v)), kind: 'key' })
  return [...seen.values()]
}
export function wordsAt(root: Schema, path: Path): Word[] {
  return [...new Set(at(root, path).flatMap((s) => s.enum ?? []))].map((w) => ({ says: String(w), help: '', kind: 'word' }))
}
export function meaning(all: Schema[]): string {
  const says = all.find((s) => s.description)?.description ?? ''
  const words = [...new Set(all.flatMap((s) => s.enum ?? []))]
  const normal = all.find((s) => s.default !== undefined)?.default
  return [says, words.length ? `One of: ${words.join(', ')}.` : '', normal === undefined ? '' : `Without it: ${String(normal)}.`].filter(Boolean).join(' ')
}
