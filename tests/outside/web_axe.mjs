// SPDX-License-Identifier: Apache-2.0
// axe-core on every view in both themes: nothing serious or critical; no target smaller than 44 px
// (WCAG 2.2, 2.5.5 Target Size (Enhanced)); nothing wider than the page at three widths; the first
// useful paint; and the size of the bundle. usage: web_axe.mjs KW
import fs from 'node:fs'
import path from 'node:path'
import zlib from 'node:zlib'
import { axeSource, browser, check, done, drawn, open, serve, shopCopy, view } from './web_lib.mjs'
import { runDemo, views } from './web_views.mjs'

const dir = shopCopy()
runDemo(process.argv[2], dir)
const server = await serve(process.argv[2], dir)
const b = await browser()

async function look(page, name, theme) {
  await page.evaluate(axeSource)
  const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }))
  const bad = result.violations.filter((v) => ['serious', 'critical'].includes(v.impact))
  check(`${name}, ${theme}: axe`, bad.length === 0, bad.map((v) => `${v.id}: ${v.nodes.slice(0, 2).map((n) => `${n.target} ${n.any[0]?.message ?? ''}`).join('; ')}`))
}
async function targets(page, name) {
  const small = await page.evaluate(() => [...document.querySelectorAll('button, a.button, a.card, select, input, .choice label, nav a')]
    .filter((e) => e.offsetParent && !e.closest('.unseen') && !['checkbox', 'radio'].includes(e.type) && !e.classList.contains('unseen'))
    .map((e) => { const r = e.getBoundingClientRect(); return { what: `${e.tagName} ${e.textContent.slice(0, 30)}`, w: r.width, h: r.height } })
    .filter((r) => r.w < 43.5 || r.h < 43.5))
  check(`${name}: targets of 44 px`, small.length === 0, small.slice(0, 4))
}
async function fits(page, name, width) {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)
  check(`${name}: fits ${width} px`, over <= 0, over)
}

try {
  const first = await open(b, server.url)
  const paint = await first.evaluate(() => new Promise((ok) => {
    const began = performance.timeOrigin
    const look = () => (document.querySelector('main h1') ? ok(Date.now() - began) : setTimeout(look, 10))
    look()
  }))
  console.log(`first useful paint (the page's own heading, from navigation): ${Math.round(paint)} ms`)
  await first.context().close()

  for (const theme of ['light', 'dark']) {
    const page = await open(b, server.url, { theme })
    for (const v of views) {
      await view(page, v.hash, v.wait)
      if (v.picture) await drawn(page)
      await v.act?.(page)
      await look(page, v.name, theme)
      if (theme === 'light') await targets(page, v.name)
      if (v.leave) await page.keyboard.press('Escape')
    }
    check(`${theme}: no trouble on the page`, page.troubles.length === 0, page.troubles)
    await page.context().close()
  }
  for (const width of [390, 820, 1440]) {
    const page = await open(b, server.url, { width, height: 900 })
    for (const v of views) { await view(page, v.hash, v.wait); await fits(page, v.name, width) }
    await page.context().close()
  }
} finally {
  await b.close()
  await server.stop()
  fs.rmSync(dir, { recursive: true, force: true })
}

const assets = fs.readdirSync('web/dist/assets')
const sizes = assets.map((f) => zlib.gzipSync(fs.readFileSync(path.join('web/dist/assets', f)), { level: 9 }).length)
const all = sizes.reduce((s, n) => s + n, 0)
const start = /src="\/assets\/([^"]+)"|modulepreload[^>]*href="\/assets\/([^"]+)"|stylesheet[^>]*href="\/assets\/([^"]+)"/g
const needed = [...fs.readFileSync('web/dist/index.html', 'utf8').matchAll(start)].map((m) => m[1] ?? m[2] ?? m[3])
const early = needed.reduce((s, f) => s + sizes[assets.indexOf(f)], 0)
console.log(`bundle: ${(all / 1000).toFixed(1)} kB compressed in all, ${(early / 1000).toFixed(1)} kB before anything is shown`)
check('bundle under 450 kB compressed', all < 450000, all)
done()
