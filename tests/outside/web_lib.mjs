// SPDX-License-Identifier: Apache-2.0
// For the tests that use a browser: a copy of the demo shop, its server, Debian's Chromium, a
// tally of checks, and a watch on what the page fetches and says.
import { spawn } from 'node:child_process'
import fs from 'node:fs'
import os from 'node:os'
import path from 'node:path'
import { createRequire } from 'node:module'

const require = createRequire(new URL('../package.json', import.meta.url))
const { chromium } = require('playwright-core')
export const axeSource = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8')

let passed = 0
let failed = 0
export function check(says, ok, got) {
  if (ok) passed++
  else { failed++; console.log(`FAILED ${says}${got === undefined ? '' : `: got ${typeof got === 'string' ? got : JSON.stringify(got)}`}`) }
  return ok
}
export const near = (a, b, by) => Math.abs(a - b) <= by
export function done() {
  console.log(`${passed} passed, ${failed} failed`)
  process.exitCode = failed ? 1 : 0
}

/// The demo shop copied to a folder of its own, with what `change(dir)` does to it.
export function shopCopy(change) {
  const dir = fs.mkdtempSync(path.join(os.tmpdir(), 'kw-web-'))
  fs.cpSync('demo', dir, { recursive: true, filter: (f) => !f.includes(`${path.sep}runs`) })
  change?.(dir)
  return dir
}

export async function serve(kw, dir, port = 0) {
  const child = spawn(kw, ['serve', dir, '--port', String(port)], { stdio: ['ignore', 'pipe', 'inherit'] })
  const url = await new Promise((ok, no) => {
    let said = ''
    child.stdout.on('data', (d) => { said += d; const m = /http:\/\/[\d.]+:\d+/.exec(said); if (m) ok(m[0]) })
    child.on('exit', (code) => no(new Error(`serve ended with ${code}: ${said}`)))
    setTimeout(() => no(new Error(`serve said no address: ${said}`)), 20000)
  })
  return { url, child, stop: () => new Promise((ok) => { child.once('exit', ok); child.kill('SIGTERM') }) }
}

export async function browser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'],
  })
}

/// A page that notes errors, broken policies and everything fetched from elsewhere.
export async function open(b, url, { width = 1280, height = 900, theme = 'light', context } = {}) {
  const c = context ?? await b.newContext({ viewport: { width, height }, colorScheme: theme, reducedMotion: 'reduce', acceptDownloads: true })
  const page = await c.newPage()
  page.setDefaultTimeout(30000)
  page.troubles = []
  const trouble = (t) => { if (page.troubles.length < 5 && !page.troubles.includes(t)) page.troubles.push(t) }
  page.on('pageerror', (e) => trouble(`error: ${e.message} ${e.stack?.split('\n')[1] ?? ''}`))
  page.on('console', (m) => { if (/Content Security Policy|Refused to/.test(m.text())) trouble(`policy: ${m.text()}`) })
  page.on('request', (r) => { if (!r.url().startsWith(url) && !/^(blob|data):/.test(r.url())) trouble(`fetched from elsewhere: ${r.url()}`) })
  page.base = url
  await page.goto(url)
  return page
}
/// Goes to a view and waits until it has what it shows.
export async function view(page, hash, wait) {
  await page.evaluate((h) => { location.hash = h }, hash)
  await page.waitForFunction(() => !document.querySelector('.waiting')).catch(async () => {
    throw new Error(`${hash} still waits: ${await page.locator('.waiting').first().innerText()}`)
  })
  if (wait) await page.waitForSelector(wait)
}
/// Until the picture has drawn what it has to and its tags are laid.
export async function drawn(page) {
  await page.waitForFunction(() => (window.kitwright?.body?.kit || window.kitwright?.body?.part) && window.kitwright.frame.frames > 0)
  await page.evaluate(() => new Promise((ok) => requestAnimationFrame(() => requestAnimationFrame(ok))))
}
export async function slide(page, label, value) {
  await page.getByLabel(label, { exact: true }).evaluate((e, v) => { e.value = String(v); e.dispatchEvent(new Event('input', { bubbles: true })) }, value)
}
