// Where in the page one is: the part of the address after #, as names between slashes.
import { Cell } from './cell'

function read(): string[] {
  return location.hash.replace(/^#\/?/, '').split('/').filter(Boolean).map(decodeURIComponent)
}
export const place = new Cell<string[]>(read())
addEventListener('hashchange', () => { place.value = read() })

export function to(...names: string[]): string {
  return `#/${names.map(encodeURIComponent).join('/')}`
}
export function go(...names: string[]): void { location.hash = to(...names) }
