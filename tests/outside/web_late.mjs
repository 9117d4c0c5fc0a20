// SPDX-License-Identifier: Apache-2.0
// On a busy machine answers and code come before the page has begun to watch for them: seen as a
// shop that was opened for ever, and a view that loaded for ever. Here preact's effects run only
// when told to. usage: web_late.mjs
import path from 'node:path'
import { createRequire } from 'node:module'
import { browser, check, done } from './web_lib.mjs'

const require = createRequire(path.resolve('web/package.json'))
const esbuild = require('esbuild')
const bundle = await esbuild.build({
  stdin: { contents: `import { options, render, h } from 'preact'; import { later } from './ui/later'; import { Cell, useCell } from './cell'
    globalThis.late = { options, render, h, later, Cell, useCell }`, resolveDir: path.resolve('web/src') },
  bundle: true, format: 'iife', write: false, jsx: 'automatic', jsxImportSource: 'preact',
})
const b = await browser()
const page = await b.newPage()
await page.evaluate(bundle.outputFiles[0].text)
const got = await page.evaluate(async () => {
  const { options, render, h, later, Cell, useCell } = globalThis.late
  const pending = []
  options.requestAnimationFrame = (f) => pending.push(f)
  const pause = () => new Promise((ok) => setTimeout(ok, 20))
  const effects = async () => { await pause(); for (const f of pending.splice(0)) f(); await pause() }
  const root = document.createElement('div')

  const cell = new Cell('first')
  const Watching = () => h('p', null, useCell(cell))
  render(h(Watching), root)
  cell.value = 'second' // before the effect that watches
  await effects()
  const watched = root.textContent

  let bring
  const View = later(() => new Promise((ok) => { bring = ok }))
  render(h('div', null, h(View, { key: 1 })), root)
  await effects()
  render(h('div', null, h(View, { key: 2 })), root) // drawn anew, its effect still to come
  await pause()
  bring(() => h('p', null, 'the view'))
  await pause()
  await effects()
  await effects()
  return { watched, view: root.textContent }
})
check('a value that changed before it was watched is shown', got.watched === 'second', got)
check('code that came before the effect is shown', got.view === 'the view', got)
await b.close()
done()
