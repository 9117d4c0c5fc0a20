// SPDX-License-Identifier: Apache-2.0
// A person's way through the page: open the demo, change a flange on the picture until it can't be
// bent, see it marked there and in the text, mend it in the text, drop a drawing, run the week,
// cancel a run, play a program, step a bend order, take the packet; and what happens when a file is
// changed outside, the value can't be read, or the program goes away. usage: web_flow.mjs KW [PART]
// (PART: only that function; run needs what week has planned)
import fs from 'node:fs'
import path from 'node:path'
import { browser, check, done, drawn, open, serve, shopCopy, slide, view } from './web_lib.mjs'

const dir = shopCopy()
const kitFile = path.join(dir, 'kits/firewood-rack.yaml')
const before = fs.readFileSync(kitFile, 'utf8')
let server = await serve(process.argv[2], dir)
const b = await browser()
const settled = (page) => page.waitForFunction(() => document.querySelector('.figures [aria-busy=false]'))
const click = (page, name, exact = true) => page.getByRole('button', { name, exact }).first().click()

async function typeSize(page, says, value) {
  await click(page, new RegExp(`^${says}: .*Change it`))
  await page.getByRole('form').getByRole('textbox').fill(value)
  await page.keyboard.press('Enter')
  await page.waitForSelector('.size-box', { state: 'detached' })
  await settled(page)
}

async function kits(page) {
  await view(page, '#/kits', '.card')
  check('eight kits', await page.locator('a.card').count() === 8)
  await page.getByRole('link', { name: /Firewood rack/ }).click()
  await drawn(page)
  await page.getByRole('link', { name: /^foot/ }).click()
  await page.waitForFunction(() => window.kitwright?.partName === 'foot')
  await drawn(page)
  check('a flange has its size on the picture', await page.getByRole('button', { name: 'height of flange A: 1-1/2 in. Change it' }).isVisible())

  await typeSize(page, 'height of flange A', '1/4')
  const now = fs.readFileSync(kitFile, 'utf8')
  const changed = now.split('\n').filter((l, n) => l !== before.split('\n')[n])
  check('one line of the file changed, comments kept', changed.length === 1 && changed[0].includes('height: 1/4,') && now.includes('# bend lines by layer'), changed)
  await page.locator('button.mark.stop').first().waitFor()
  check('the stop is marked on the picture', await page.locator('button.mark.stop').first().isVisible())
  await page.locator('button.mark.stop').first().click()
  check('and says what is wrong', /flange A is 0.250 in high/.test(await page.locator('.size-box').innerText()))
  await page.locator('.size-box').getByRole('button', { name: /^Line \d+ of the text/ }).click()

  await page.waitForSelector('.editor')
  const line = () => page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-activeLine')?.textContent)
  await page.waitForFunction(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-lintRange-error'))
  check('the text stands at the line', /height: 1\/4/.test(await line()), await line())
  const underlined = await page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-activeLine .cm-lintRange-error')?.textContent)
  check('the value is underlined', underlined === '1/4', underlined)

  await editorFocus(page)
  // the caret stands where the way from the picture led: at the first word of the line
  for (let n = 0; n < 'A: { along: back, height: '.length; n++) await page.keyboard.press('ArrowRight')
  for (let n = 0; n < 3; n++) await page.keyboard.press('Shift+ArrowRight')
  await page.keyboard.type('2-1/4')
  await page.waitForFunction(() => !document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-lintRange-error'))
  check('mended while typing', /height: 2-1\/4/.test(await line()), await line())
  check('not yet written', fs.readFileSync(kitFile, 'utf8').includes('height: 1/4,'))
  await page.keyboard.press('Control+s')
  await page.waitForFunction(() => !/not yet written/.test(document.body.innerText))
  check('written', fs.readFileSync(kitFile, 'utf8').includes('height: 2-1/4,'))
  await click(page, 'Show foot on the picture')
  await page.waitForFunction(() => window.kitwright?.partName === 'foot')
  await page.waitForFunction(() => !document.querySelector('button.mark.stop'))
  check('no stop on the picture any more', true)

  await typeSize(page, 'height of flange A', 'wide and high')
  check('a value that is no length is refused in words', /Not written/.test(await page.locator('.told.stop').first().innerText()))
  check('and the file is as it was', fs.readFileSync(kitFile, 'utf8').includes('height: 2-1/4,'))
  await click(page, 'Understood')
  await slide(page, 'Folded', 0)
  check('bend lines are named on the blank', /A 90°/.test(await page.locator('.tag.bend').first().innerText()))
}

/// The editor is fetched when the leaf is turned: its box is there before it is.
async function editorFocus(page) {
  await page.waitForFunction(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-content'))
  await page.evaluate(() => document.querySelector('.editor').shadowRoot.querySelector('.cm-content').focus())
}

async function conflict(page) {
  await view(page, '#/kits/firewood-rack/text', '.editor')
  await editorFocus(page)
  await page.keyboard.press('Control+End')
  await page.keyboard.type('# mine\n')
  await page.waitForSelector('text=not yet written')
  fs.appendFileSync(kitFile, '# theirs\n')
  await page.waitForSelector('text=changed outside while you were typing', { timeout: 15000 })
  check('what was changed outside is still there', fs.readFileSync(kitFile, 'utf8').endsWith('# theirs\n'))
  await click(page, 'Take what is in the file')
  await page.waitForFunction(() => document.querySelector('.editor')?.shadowRoot?.textContent.includes('# theirs'))
  check('theirs is taken when told to', !(await page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.textContent.includes('# mine'))))
}

async function editorHelp(page) {
  await editorFocus(page)
  await page.keyboard.press('Control+Home')
  for (let n = 0; n < 8; n++) await page.keyboard.press('ArrowDown')
  await page.keyboard.press('End')
  await page.keyboard.press('Enter')
  await page.keyboard.type('gri')
  await page.waitForFunction(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-tooltip-autocomplete'))
  const offered = await page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-tooltip-autocomplete').textContent)
  check('keys are completed from the schema', /gripped/.test(offered), offered)
  check('with their meaning', /edges that a hand takes/.test(await page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.textContent)))
  await page.keyboard.press('Escape')
  await click(page, 'Leave it as it was')
}

async function copyAndDraw(page) {
  await view(page, '#/kits', '.card')
  await click(page, 'New kit')
  await page.getByLabel('What it is called').fill('My bracket')
  await page.getByLabel('Begins as').selectOption({ label: 'A bracket with one flange' })
  await click(page, 'Make it')
  await page.waitForFunction(() => location.hash === '#/kits/my-bracket')
  await drawn(page)
  check('a new kit from an example', fs.existsSync(path.join(dir, 'kits/my-bracket.yaml')))

  await view(page, '#/kits/my-bracket/part/bracket', '.picture canvas')
  await page.getByLabel('Made of').selectOption({ index: 1 })
  await page.waitForFunction(() => !/14 ga hot-rolled sheet<\/span>/.test(document.querySelector('.panel h2')?.innerHTML ?? ''))
  await page.getByLabel('In each kit').fill('3')
  await page.getByLabel('In each kit').blur()
  await page.waitForSelector('.panel h2:has-text("3 a kit")')
  const made = fs.readFileSync(path.join(dir, 'kits/my-bracket.yaml'), 'utf8')
  check('stock and count are changed beside the picture', /name: My bracket/.test(made) && /from: 11 ga hot-rolled sheet\n    per_kit: 3/.test(made), made)

  await view(page, '#/kits', '.drop-zone')
  const bytes = fs.readFileSync('demo/drawings/rack-side.dxf', 'utf8')
  const transfer = await page.evaluateHandle((text) => { const t = new DataTransfer(); t.items.add(new File([text], 'my side.dxf')); return t }, bytes)
  await page.locator('.drop-zone').first().dispatchEvent('drop', { dataTransfer: transfer })
  await page.waitForSelector('.sheetlet .drawing')
  check('a dropped drawing is shown with its size', /20 x 14 in/.test(await page.locator('.sheetlet').innerText()))
  const role = (layer) => page.getByLabel(`Layer ${layer} is taken for`)
  check('its layers have roles', await role('BEND_UP').inputValue() === 'bend up')
  await role('BEND_UP').selectOption('mark')
  await page.waitForFunction(() => !document.querySelector('.sheetlet .bend-line'))
  check('another role shows at once', await page.locator('.sheetlet .mark-line').count() === 2)
  await role('BEND_UP').selectOption('bend down')
  await page.waitForSelector('.sheetlet .bend-line', { state: 'attached' })
  check('nothing is written before it is told', !fs.existsSync(path.join(dir, 'drawings/my-side.dxf')))
  await page.getByLabel(/Should measure/).fill('508 x 355.6')
  check('a wrong scale does not pass', /inches and millimetres are mixed up/.test(await page.locator('.sheetlet').innerText()))
  await page.getByLabel(/Should measure/).fill('20 x 14')
  check('the right one does', /It does/.test(await page.locator('.sheetlet').innerText()))
  await click(page, 'Put it into drawings/')
  await page.waitForFunction(() => location.hash === '#/drawings/my-side.dxf')
  check('written as it came', fs.readFileSync(path.join(dir, 'drawings/my-side.dxf'), 'utf8') === bytes)
  await page.getByLabel('Of the kit').selectOption('my-bracket')
  await click(page, 'Add it to the kit')
  await page.waitForFunction(() => window.kitwright?.partName === 'my-side')
  const bracket = () => fs.readFileSync(path.join(dir, 'kits/my-bracket.yaml'), 'utf8')
  check('and becomes a part with the roles and the size that were told', bracket().includes('flat: drawings/my-side.dxf\n    layers: { bend_down: BEND_UP }\n    must_measure: 20 in x 14 in\n'), bracket())
  await page.waitForSelector('td:has-text("down")')
  await role('BEND_UP').selectOption('bend up')
  await page.waitForSelector('td:has-text("1, up")')
  check('a role changed on the part folds it the other way', bracket().includes('layers: {}\n'), bracket())
}

async function sign(page) {
  await view(page, '#/kits/potting-bench/part/tool-strip', '.findings')
  const risk = page.locator('.findings li.risk').first()
  await risk.getByRole('button', { name: 'Sign it' }).click()
  await page.getByLabel('Who takes it on').fill('R. Alder')
  await page.getByLabel('Why', { exact: true }).fill('drilled after bending, 20 made')
  await page.locator('dialog').getByRole('button', { name: 'Sign it' }).click()
  await page.waitForSelector('.findings li.risk.signed')
  check('a signed risk says who, when and why', /Signed: R\. Alder, \d{4}-\d\d-\d\d: drilled after bending, 20 made/.test(await risk.innerText()), await risk.innerText())
  const text = fs.readFileSync(path.join(dir, 'kits/potting-bench.yaml'), 'utf8')
  check('in one line of the file', /^signed:\n  - \{ risk: hole-near-bend, part: tool-strip, by: R\. Alder, .*reason: "drilled after bending, 20 made", code: "[0-9a-f]{8}" \}$/m.test(text), text.slice(-200))
  await click(page, 'Undo the last change')
  await page.waitForSelector('.findings li.risk:not(.signed)')
  check('and taken back', !fs.readFileSync(path.join(dir, 'kits/potting-bench.yaml'), 'utf8').includes('signed:'))
}

async function week(page) {
  await view(page, '#/week', '.orders table')
  const rows = await page.locator('.orders tbody tr').count()
  await page.evaluate(() => {
    const data = new DataTransfer()
    data.setData('text/plain', '2001\tfire-ring\t\t\t\t1\t2026-12-04\n2002\therb-box\t24\twith feet\t\t1\t2026-12-04')
    document.querySelector('.orders').dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }))
  })
  await page.waitForFunction((n) => document.querySelectorAll('.orders tbody tr').length === n + 2, rows)
  await page.getByLabel(`Count, line ${rows + 1}`, { exact: true }).fill('2')
  await click(page, 'Write the orders')
  await page.waitForFunction(() => !/not yet written/.test(document.body.innerText))
  const text = fs.readFileSync(path.join(dir, 'orders.csv'), 'utf8')
  check('pasted orders are written', text.endsWith('2001,fire-ring,,,,2,2026-12-04\n2002,herb-box,24,with feet,,1,2026-12-04\n'), text.slice(-120))

  await page.getByLabel('First day').fill('2026-11-30')
  await page.getByLabel('Name', { exact: true }).fill('cancelled')
  await click(page, 'Run the week')
  await page.waitForSelector('progress')
  await click(page, 'Cancel the run')
  await page.waitForSelector('text=The run was cancelled')
  check('a cancelled run leaves nothing', !fs.existsSync(path.join(dir, 'runs/cancelled')))

  await page.getByLabel('Name', { exact: true }).fill('first')
  await click(page, 'Run the week')
  await page.waitForSelector('progress')
  await page.reload() // a closed tab loses nothing
  await page.waitForSelector('progress')
  await page.waitForFunction(() => location.hash === '#/week/first', undefined, { timeout: 180000 })
  await page.waitForSelector('.sections')
  check('findings come first', await page.getByRole('region', { name: 'Findings' }).isVisible())
}

async function run(page) {
  const json = JSON.parse(fs.readFileSync(path.join(dir, 'runs/first/run.json')))
  await view(page, '#/week/first/sheets', '.sheet-part')
  check('a sheet shows all its parts', await page.locator('.sheet-part').count() === json.sheets[0].placements.length)
  await page.locator('.sheet-part').first().hover()
  check('the part under the pointer is named', (await page.locator('.said').first().innerText()).includes(json.sheets[0].placements[0].part))
  await page.locator('.sheet-view svg').focus()
  const seen = () => page.locator('.sheet-view svg').getAttribute('viewBox')
  const all = await seen()
  await page.keyboard.press('+')
  check('the map is moved by keys too', await seen() !== all, all)
  await page.keyboard.press('0')
  await click(page, 'Play the program')
  await page.waitForSelector('[data-torch]')
  await page.waitForFunction(() => /cutting|piercing/.test(document.querySelector('[data-torch]').textContent))
  await slide(page, 'Time', 1e9)
  const torch = await (await fetch(`${server.url}/api/runs/first/sheets/${json.sheets[0].id}/torch`)).json()
  const end = torch.moves[torch.moves.length - 1].to
  const said = await page.locator('[data-torch]').innerText()
  check('the program ends where its last move does', said.includes('100 %') && said.includes(`line ${torch.moves[torch.moves.length - 1].line}`), [said, end])
  const inked = await page.evaluate(() => { const c = document.querySelector('.sheet-view canvas'); const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; let n = 0; for (let i = 3; i < d.length; i += 4) if (d[i]) n++; return n / (d.length / 4) })
  check('the cut is drawn', inked > 0.01, inked)

  const job = json.brake.find((j) => j.steps.length > 1)
  await view(page, `#/week/first/bending/${encodeURIComponent(job.part)}`, '.set-now')
  for (let n = 0; n < job.steps.length; n++) {
    const inch = `${(job.steps[n].gauge_x / 25.4).toFixed(3)} in`
    check(`step ${n + 1} says its gauge`, (await page.locator('.set-now').innerText()).includes(`gauge ${inch}`), await page.locator('.set-now').innerText())
    if (n + 1 < job.steps.length) await click(page, 'Next step')
  }
  await page.waitForSelector('.picture canvas')
  await click(page, 'Play the stroke')
  await page.waitForFunction(() => document.querySelector('.slide output')?.textContent === 'bent')
  check('the stroke ends bent', true)

  await page.getByRole('radio', { name: 'Dim' }).check({ force: true })
  const printed3d = await page.evaluate(() => {
    dispatchEvent(new Event('beforeprint'))
    const c = document.querySelector('.picture canvas:last-of-type')
    const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data
    let sum = 0, n = 0
    for (let i = 0; i < d.length; i += 4) if (d[i + 3] > 200) { sum += d[i] + d[i + 1] + d[i + 2]; n++ }
    const grey = d.every((v, i) => i % 4 || Math.abs(v - d[i + 2]) < 12)
    dispatchEvent(new Event('afterprint'))
    return { light: sum / n / 3, grey, left: document.querySelectorAll('.picture canvas').length }
  })
  check('from a dim page steel is printed light and grey', printed3d.light > 110 && printed3d.grey && printed3d.left === 1, printed3d)
  await page.getByRole('radio', { name: 'Auto' }).check({ force: true })

  await view(page, '#/week/first/tube', '.set-now')
  await click(page, 'Step on')
  check('tube bending is told as one does it', /^Bend 1 of/.test(await page.locator('.set-now').innerText()))
  await view(page, '#/week/first/cartons', '.carton-view')
  await slide(page, 'Layer', 1)
  check('cartons fill from the bottom', /1 of \d/.test(await page.locator('.slide output').innerText()))
  for (const [name, head] of [['saw', 'Stop at'], ['buy', 'On hand'], ['hours', 'press'], ['cost', 'Cost of one']]) {
    await view(page, `#/week/first/${name}`)
    await page.waitForSelector(`text=${head}`)
    check(`${name} shows`, true)
  }
  const packet = await page.context().request.get(`${server.url}/api/runs/first/files/packet.pdf`)
  check('the packet is a PDF', (await packet.body()).subarray(0, 5).toString() === '%PDF-')
  const program = await page.context().request.get(`${server.url}/api/runs/first/files/${json.sheets[0].program}`)
  check('the program is the file of the run', (await program.body()).equals(fs.readFileSync(path.join(dir, 'runs/first', json.sheets[0].program))))
  const printed = await page.pdf({ format: 'Letter' })
  check('a view prints', printed.length > 5000)

  await view(page, '#/monday')
  await page.getByLabel('As of').fill('2026-11-30')
  await page.waitForSelector('.monday .figure')
  check('five figures on Monday', await page.locator('.monday .figure').count() === 5)
  await page.getByRole('radio', { name: 'mm' }).check({ force: true })
  await view(page, '#/week/first/sheets', '.sheet-view')
  check('millimetres at the switch', /2438\.4 x 1219\.2 mm/.test(await page.locator('.figures').innerText()), await page.locator('.figures').innerText())
  await page.getByRole('radio', { name: 'in', exact: true }).check({ force: true })
}

async function away(page) {
  await view(page, '#/kits', '.card')
  const port = Number(new URL(server.url).port)
  await server.stop()
  await page.waitForSelector('.offline', { timeout: 15000 })
  check('a program that is gone is told', true)
  check('what was seen stays', await page.locator('a.card').count() >= 7)
  server = await serve(process.argv[2], dir, port)
  await page.waitForSelector('.offline', { state: 'detached', timeout: 15000 })
  check('and it is noticed when it is back', true)
}

try {
  const page = await open(b, server.url)
  const all = [kits, conflict, editorHelp, copyAndDraw, sign, week, run, away]
  for (const part of all.filter((f) => !process.argv[3] || f.name === process.argv[3])) {
    try { await part(page) } catch (err) {
      check(`${part.name} goes through`, false, err.message.split('\n').slice(0, 4).join(' '))
      if (process.env.KEEP) await page.screenshot({ path: `/tmp/web-flow-${part.name}.png` })
    }
  }
  check('no error, no broken policy, nothing from elsewhere', page.troubles.length === 0, page.troubles)
} finally {
  await b.close()
  await server.stop()
  fs.rmSync(dir, { recursive: true, force: true })
}
done()
