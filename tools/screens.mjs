// Pictures of every view of the page at three widths in both themes, and some of them for README.
// usage: tools/screens KW [FOLDER [WORD]]     (FOLDER: build/screens; WORD: only views named so)
import fs from 'node:fs'
import path from 'node:path'
import { browser, drawn, open, serve, shopCopy, view } from '../tests/outside/web_lib.mjs'
import { runDemo, views } from '../tests/outside/web_views.mjs'

process.chdir(path.join(path.dirname(new URL(import.meta.url).pathname), '..'))
const [kw, folder = 'build/screens', word = ''] = process.argv.slice(2)
const readme = { kit: 'light', part: 'light', torch: 'dark', bending: 'dark', monday: 'light' } // docs/pictures
fs.mkdirSync(folder, { recursive: true })
const dir = shopCopy()
runDemo(kw, dir)
const server = await serve(kw, dir)
const b = await browser()
try {
  for (const width of [390, 820, 1440]) for (const theme of ['light', 'dark']) {
    const page = await open(b, server.url, { width, height: 900, theme })
    for (const v of views.filter((w) => w.name.includes(word))) {
      await view(page, v.hash, v.wait)
      if (v.picture) await drawn(page)
      await v.act?.(page)
      await page.waitForTimeout(400)
      await page.screenshot({ path: path.join(folder, `${v.name}-${width}-${theme}.png`), fullPage: true })
      if (width === 1440 && readme[v.name] === theme) {
        await page.evaluate(() => document.querySelector('.picture, .sheet-view')?.scrollIntoView({ block: 'center' }))
        await page.waitForTimeout(300)
        await page.screenshot({ path: `docs/pictures/web-${v.name}.png` })
      }
      if (v.leave) await page.keyboard.press('Escape')
    }
    if (page.troubles.length) { console.error(page.troubles.join('\n')); process.exitCode = 1 }
    await page.context().close()
  }
} finally {
  await b.close()
  await server.stop()
  fs.rmSync(dir, { recursive: true, force: true })
}
