// SPDX-License-Identifier: Apache-2.0
// The demo's kits use every shape: each key of the kit file's schema that says a form, and each of
// its words, stands in demo/kits at least once. What says no form is listed here.
import fs from 'fs'
import YAML from 'yaml'

const noShape = new Set(['signed', 'risk', 'by', 'date', 'reason', 'code', 'price', 'weld_time',
  'hand']) // of a piece in the assembly: the demo's handed parts hang on a wall
const noWord = new Set(['unsaid', 'rework', 'scrap', 'mm']) // old stock, units

const schema = JSON.parse(fs.readFileSync('docs/formats/kit.schema.json', 'utf8'))
const keys = new Set(), words = new Map()
function words_of(s) {
  return s.enum ?? (s.anyOf ?? s.oneOf ?? []).flatMap(words_of)
}
for (const form of [schema, ...Object.values(schema.$defs ?? {})])
  for (const [key, value] of Object.entries(form.properties ?? {})) {
    keys.add(key)
    for (const word of words_of(value)) words.set(`${key}: ${word}`, value.default)
  }

const used = new Set(), said = new Set()
function look(v, key) {
  if (Array.isArray(v)) v.forEach((x) => look(x, key))
  else if (v && typeof v === 'object')
    for (const [k, x] of Object.entries(v)) { used.add(k); look(x, k) }
  else said.add(`${key}: ${v}`)
}
for (const file of fs.readdirSync('demo/kits'))
  look(YAML.parse(fs.readFileSync(`demo/kits/${file}`, 'utf8')), 'kit')

const missing = [...keys].filter((k) => !used.has(k) && !noShape.has(k))
for (const [pair, normal] of words) {
  const [key, word] = pair.split(': ')
  if (!said.has(pair) && word !== normal && !noWord.has(word) && !noShape.has(key)) missing.push(pair)
}
for (const m of missing) console.log(`no kit of the demo has ${m}`)
console.log(`${keys.size} keys, ${words.size} words, ${missing.length} missing`)
process.exit(missing.length ? 1 : 0)
