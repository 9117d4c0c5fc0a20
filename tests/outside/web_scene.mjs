// SPDX-License-Identifier: Apache-2.0
// The 3D of every part of the demo as drawn, against what the engine says: bounding box, volume,
// number of holes (by Euler's formula on the drawn triangles, V - E + F = 2 (bodies - holes)); and
// the draw calls and milliseconds of a kit of 150 parts. usage: web_scene.mjs KW
import fs from 'node:fs'
import path from 'node:path'
import { browser, check, done, drawn, near, open, serve, shopCopy, view } from './web_lib.mjs'

const PARTS = 150
const byHand = new Set(['garden-lantern/window']) // its size is told with the buyer's tabs flat, it is drawn with them bent
const cutEnds = new Set(['garden-arch/brace', 'garden-arch/strut', 'vine-trellis/rung', 'vine-trellis/stay']) // coped
function largeKit(dir) {
  const parts = Array.from({ length: PARTS }, (_, n) =>
    `  p${n}:\n    from: 11 ga hot-rolled sheet\n    per_kit: 1\n    base: { long: ${4 + (n % 9)}, wide: ${3 + (n % 5)} }\n    bends:\n      A: { along: back, height: 1-1/2 }\n    holes:\n      - { size: 1/2, from_left: 1-1/2, from_front: 1-1/2 }\n`)
  fs.writeFileSync(path.join(dir, 'kits/large.yaml'), `kit: large\nname: Large\nunits: in\nparts:\n${parts.join('')}`)
}

const dir = shopCopy(largeKit)
const server = await serve(process.argv[2], dir)
const b = await browser()
try {
  const page = await open(b, server.url)
  const shop = await (await fetch(`${server.url}/api/shop`)).json()
  let parts = 0
  for (const { kit } of shop.kits.filter((k) => k.kit !== 'large')) {
    const look = await (await fetch(`${server.url}/api/kits/${kit}`)).json()
    for (const p of look.parts.filter((q) => q.form)) {
      await view(page, `#/kits/${kit}/part/${p.part}`, '.picture canvas')
      await page.waitForFunction((name) => document.querySelector('h1')?.textContent === name && window.kitwright?.body?.part && window.kitwright.partName === name, p.part)
      await drawn(page)
      const m = await page.evaluate(() => window.kitwright.body.part.measured())
      parts++
      const name = `${kit}/${p.part}`
      if (p.kind === 'sheet') {
        // drawn as 32-bit floats, the bends as facets of at most 7.5 degrees, whose corners lie on the arc
        if (!byHand.has(name)) for (let a = 0; a < 3; a++) check(`${name}: size ${a}`, near(m.max[a] - m.min[a], p.size[a], 0.02), [m.max[a] - m.min[a], p.size[a]])
        check(`${name}: holes`, m.holes === p.holes_drawn, [m.holes, p.holes_drawn])
      } else {
        const drawnSize = m.max.map((v, a) => v - m.min[a]).sort((x, y) => x - y)
        const said = [...p.size].sort((x, y) => x - y)
        for (let a = 0; a < 3; a++) check(`${name}: size ${a}`, near(drawnSize[a], said[a], 0.01 * said[2] + 0.5), [drawnSize, said])
      }
      // arcs are drawn as chords; the engine's figure for sticks is with square ends
      check(`${name}: volume`, cutEnds.has(name) ? m.volume < p.volume && m.volume > 0.85 * p.volume : near(m.volume, p.volume, 5e-4 * p.volume), [m.volume, p.volume])
    }
  }
  check('parts were looked at', parts > 30, parts)

  await view(page, '#/kits/large', '.picture canvas')
  await page.waitForFunction((n) => window.kitwright?.body?.kit?.seats.length === n, PARTS, { timeout: 60000 })
  await drawn(page)
  const times = await page.evaluate(async () => {
    const out = []
    for (let n = 0; n < 60; n++) {
      window.kitwright.stage.turn(3, 0)
      await new Promise((ok) => requestAnimationFrame(() => requestAnimationFrame(ok)))
      out.push(window.kitwright.frame.ms)
    }
    return { ms: out.sort((a, c) => a - c), calls: window.kitwright.frame.calls }
  })
  check(`at most 150 draw calls for ${PARTS} parts`, times.calls <= 150, times.calls)
  console.log(`turning ${PARTS} parts: ${times.calls} draw calls, script ${times.ms[30].toFixed(2)} ms a frame in the middle, ${times.ms[57].toFixed(2)} ms at the 95th percentile`)
  check('no trouble on the page', page.troubles.length === 0, page.troubles)
} finally {
  await b.close()
  await server.stop()
  fs.rmSync(dir, { recursive: true, force: true })
}
done()
