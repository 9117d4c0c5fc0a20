// SPDX-License-Identifier: Apache-2.0
// Every view of the page, for axe and for the screenshots.
import { spawnSync } from 'node:child_process'
import { slide } from './web_lib.mjs'

/// The demo's week planned into the copied shop, so that there is a run to look at.
export function runDemo(kw, dir) {
  const r = spawnSync(kw, ['run', dir, '--name', 'demo-week', '--date', '2026-11-30'], { stdio: 'ignore' })
  if (r.status > 1) throw new Error(`run ended with ${r.status}`)
}

const monday = async (page) => {
  await page.getByLabel('As of').fill('2026-11-30')
  await page.waitForSelector('.monday .figure')
}

export const views = [
  { name: 'monday', hash: '#/monday', wait: '.monday', act: monday },
  { name: 'kits', hash: '#/kits', wait: '.card', act: (page) => page.waitForFunction(() => document.querySelectorAll('.thumb img').length === 7) },
  { name: 'new-kit', hash: '#/kits', wait: '.card', act: async (page) => { await page.getByRole('button', { name: 'New kit' }).first().click(); await page.waitForSelector('dialog[open]') }, leave: true },
  { name: 'kit', hash: '#/kits/herb-box', wait: '.picture canvas', picture: true },
  { name: 'kit-apart', hash: '#/kits/herb-box', wait: '.picture canvas', picture: true, act: (page) => slide(page, 'Pulled apart', 0.7) },
  { name: 'part', hash: '#/kits/firewood-rack/part/kindling-tray', wait: '.picture canvas', picture: true },
  { name: 'part-half-folded', hash: '#/kits/firewood-rack/part/kindling-tray', wait: '.picture canvas', picture: true, act: (page) => slide(page, 'Folded', 0.35) },
  { name: 'size-touched', hash: '#/kits/firewood-rack/part/foot', wait: '.picture canvas', picture: true, act: async (page) => { await page.getByRole('button', { name: /^height of flange A: .*Change it/ }).click() } },
  { name: 'findings-on-the-picture', hash: '#/kits/potting-bench', wait: '.picture canvas', picture: true },
  { name: 'sign', hash: '#/kits/potting-bench', wait: '.findings', act: async (page) => { await page.getByRole('button', { name: /^Sign it/ }).first().click(); await page.waitForSelector('dialog[open]') }, leave: true },
  { name: 'layers', hash: '#/kits/garden-arch/part/leaf', wait: '.layers', picture: true },
  { name: 'text', hash: '#/kits/potting-bench/text/13', wait: '.editor' },
  { name: 'drawing', hash: '#/drawings/rack-side.dxf', wait: '.drawing' },
  { name: 'week', hash: '#/week', wait: '.orders table' },
  { name: 'findings', hash: '#/week/demo-week', wait: '.findings' },
  { name: 'sheet', hash: '#/week/demo-week/sheets/S3', wait: '.sheet-part' },
  { name: 'torch', hash: '#/week/demo-week/sheets/S2', wait: '.sheet-part', act: async (page) => {
    await page.getByRole('button', { name: 'Play the program' }).click()
    await page.waitForFunction(() => document.querySelector('[data-torch]')?.textContent)
    await slide(page, 'Time', 400)
  } },
  { name: 'bending', hash: '#/week/demo-week/bending/firewood-rack%2Fkindling-tray', wait: '.picture canvas', act: (page) => slide(page, 'Stroke', 0.6) },
  { name: 'tube', hash: '#/week/demo-week/tube/firewood-rack%2Fhoop', wait: '.picture canvas', act: (page) => slide(page, 'Work', 1.6) },
  { name: 'saw', hash: '#/week/demo-week/saw', wait: '.stick-bar' },
  { name: 'cartons', hash: '#/week/demo-week/cartons', wait: '.carton-view' },
  { name: 'buy', hash: '#/week/demo-week/buy', wait: 'table' },
  { name: 'hours', hash: '#/week/demo-week/hours', wait: '.bars' },
  { name: 'cost', hash: '#/week/demo-week/cost', wait: 'table' },
  { name: 'files', hash: '#/week/demo-week/files', wait: '.card' },
]
