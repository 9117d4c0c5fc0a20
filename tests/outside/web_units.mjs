// SPDX-License-Identifier: Apache-2.0
// The page's own small arithmetic against outsiders: the caret's place in a kit file against the
// npm YAML reader, orders against RFC 4180's examples, bulges and meshes against closed formulas,
// the bent tube's centreline against the length that the run says. usage: web_units.mjs [RUN.JSON]
import fs from 'node:fs'
import os from 'node:os'
import path from 'node:path'
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import YAML from 'yaml'

const require = createRequire(path.resolve('web/package.json'))
const esbuild = require('esbuild')
globalThis.localStorage = { getItem: () => null, setItem: () => {} }
let passed = 0, failed = 0
function check(says, ok, got) {
  if (ok) passed++
  else { failed++; if (failed < 20) console.log(`FAILED ${says}: got ${JSON.stringify(got)}`) }
}
const dir = fs.mkdtempSync(path.join(os.tmpdir(), 'kw-units-'))
async function source(name) {
  const out = path.join(dir, `${name.replace(/\W/g, '_')}.mjs`)
  await esbuild.build({ entryPoints: [`web/src/${name}`], outfile: out, bundle: true, format: 'esm', platform: 'node', logLevel: 'error', jsx: 'automatic', jsxImportSource: 'preact' })
  return import(pathToFileURL(out).href)
}

// Days as one says them, against the platform's own calendar (ECMA-402).
const { day } = await source('units.ts')
for (let n = 0; n < 800; n++) {
  const at = new Date(Date.UTC(2026, 0, 1 + n))
  const part = (o) => at.toLocaleDateString('en-GB', { timeZone: 'UTC', ...o })
  const year = at.getUTCFullYear() === 2026 ? '' : ` ${at.getUTCFullYear()}`
  const want = `${part({ weekday: 'short' })} ${at.getUTCDate()} ${part({ month: 'short' }).slice(0, 3)}${year}`
  check(`day ${n}`, day(at.toISOString().slice(0, 10), new Date(2026, 5, 1)) === want, [day(at.toISOString().slice(0, 10), new Date(2026, 5, 1)), want])
}
check('no date', day('soon') === 'soon' && day(null) === '-', day(null))

// Where the caret is: at the end of every scalar of every demo kit, the path that the reader finds.
const { yamlPlace } = await source('kit/yaml-place.ts')
for (const file of fs.readdirSync('demo/kits')) {
  const text = fs.readFileSync(`demo/kits/${file}`, 'utf8')
  const doc = YAML.parseDocument(text)
  YAML.visit(doc, {
    Scalar(key, node, above) {
      if (key === 'key' || !node.range || node.range[0] === node.range[1]) return
      const want = []
      const chain = [...above, node]
      for (let n = 0; n < chain.length - 1; n++) {
        if (YAML.isPair(chain[n])) want.push(String(chain[n].key))
        else if (YAML.isSeq(chain[n])) want.push(chain[n].items.indexOf(chain[n + 1]))
      }
      const got = yamlPlace(text, node.range[1])
      check(`${file} at ${node.range[1]} (${want.join('/')})`, JSON.stringify(got.path) === JSON.stringify(want) && !got.key, got)
    },
  })
}
const half = 'parts:\n  foot:\n    base: { long: 6, wi'
check('a key half typed in braces', JSON.stringify(yamlPlace(half, half.length)) === JSON.stringify({ path: ['parts', 'foot', 'base'], key: true, from: half.length - 2, word: 'wi' }), yamlPlace(half, half.length))
const block = 'parts:\n  foot:\n    from: 11 ga\n    be'
check('a key half typed in a block', JSON.stringify(yamlPlace(block, block.length).path) === '["parts","foot"]' && yamlPlace(block, block.length).key, yamlPlace(block, block.length))

// RFC 4180, section 2: quotes, commas and doubled quotes.
const csv = await source('week/csv.ts')
check('quoted cells', JSON.stringify(csv.splitRow('"aaa","b,bb","c""c"')) === '["aaa","b,bb","c\\"c"]', csv.splitRow('"aaa","b,bb","c""c"'))
for (const cells of [['a', 'b,c', 'd"e'], ['', ' '.trim(), '1'], ['x"', ',', '""']])
  check('written cells are read back', JSON.stringify(csv.splitRow(csv.joinRow(cells))) === JSON.stringify(cells), cells)
const orders = fs.readFileSync('demo/orders.csv', 'utf8')
const noted = orders.replace('\n', '\n# a note, kept\n')
const rows = csv.readOrders(noted)
for (const r of rows) {
  const changed = csv.changeCell(noted, r.line, 'count', '7').split('\n')
  const other = noted.split('\n').filter((l, n) => l !== changed[n])
  check(`line ${r.line}: one line changes`, other.length <= 1 && changed[r.line - 1].split(',')[5] === '7', changed[r.line - 1])
}
check('pasted with a heading in another order', csv.readPasted('kit\tcount\tdue\nfire-ring\t3\t2026-12-01')[0].count === '3', null)

// Bulge: the tangent of a quarter of the sweep. A circle of two points has its area as polygon.
const { chords, boxOf } = await source('draw/outline.ts')
const circle = chords([[-5, 0, 1], [5, 0, 1]], 0.01)
const area = circle.reduce((s, [x, y], n) => { const [X, Y] = circle[(n + 1) % circle.length]; return s + (x * Y - X * y) / 2 }, 0)
check('area of a circle', Math.abs(area - Math.PI * 25) < 0.01, area)
check('box of a circle', boxOf(circle).every((v, n) => Math.abs(v - [-5, -5, 5, 5][n]) < 0.01), boxOf(circle))

// A cube with no hole and a square ring with one: volume and holes by formula.
const { measure } = await source('three/form.ts')
function prism(outer, inner) { // squares about the origin, one high
  const p = [], t = []
  for (const z of [0, 1]) for (const r of inner ? [outer, inner] : [outer]) p.push(-r, -r, z, r, -r, z, r, r, z, -r, r, z)
  const quad = (a, b, c, d) => t.push(a, b, c, a, c, d)
  const up = inner ? 8 : 4
  for (let n = 0; n < 4; n++) {
    const m = (n + 1) % 4
    quad(n, m, up + m, up + n)
    if (inner) { quad(4 + m, 4 + n, up + 4 + n, up + 4 + m); quad(up + n, up + m, up + 4 + m, up + 4 + n); quad(m, n, 4 + n, 4 + m) }
  }
  if (!inner) { quad(3, 2, 1, 0); quad(4, 5, 6, 7) }
  return measure(p, t)
}
check('a block', prism(2).volume === 16 && prism(2).holes === 0, prism(2))
check('a ring', Math.abs(prism(2, 1).volume - 12) < 1e-9 && prism(2, 1).holes === 1, prism(2, 1))

// Tape fractions: every 1/64 up to 10 in says itself.
const { tape } = await source('units.ts')
for (let n = 0; n <= 640; n++) {
  const m = /^(?:(\d+)(?:-(\d+)\/(\d+))?|(\d+)\/(\d+))$/.exec(tape((n * 25.4) / 64))
  const v = m ? (m[4] ? m[4] / m[5] : Number(m[1]) + (m[2] ? m[2] / m[3] : 0)) : NaN
  check(`${n}/64`, v * 64 === n, tape((n * 25.4) / 64))
}

// The tube on the bender: as long at every moment as it was cut (arcs as chords of 4 degrees are
// shorter by a fifth of a thousandth), planar where no bend is turned, and turned by what the table says.
const { tubeAt, momentAt, actCount } = await source('three/tube-path.ts')
const runFile = process.argv[2] ?? 'demo/runs/demo-week/run.json'
const tubes = JSON.parse(fs.readFileSync(runFile)).tubes.filter((t) => t.bends.length)
check('there are bent tubes', tubes.length > 0, tubes.length)
for (const tube of tubes) {
  const acts = actCount(tube)
  for (let k = 0; k <= 40; k++) {
    const points = tubeAt(tube, momentAt(tube, (acts * k) / 40))
    const length = points.slice(1).reduce((s, p, n) => s + p.distanceTo(points[n]), 0)
    check(`${tube.part} at ${k}/40: length`, Math.abs(length - tube.cut_length) < 0.01 * tube.cut_length, [length, tube.cut_length])
    if (tube.bends.every((b) => !b.rotate)) check(`${tube.part} at ${k}/40: planar`, points.every((p) => Math.abs(p.z) < 1e-6), null)
  }
}
fs.rmSync(dir, { recursive: true, force: true })
console.log(`${passed} passed, ${failed} failed`)
process.exit(failed ? 1 : 0)
