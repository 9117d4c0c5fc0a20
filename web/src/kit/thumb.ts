// Small still pictures of kits for the list, drawn one after another on one canvas out of sight.
import { api } from '../api'
import { KitBody } from '../three/kit-body'
import { benched } from '../three/rows'
import { paint, Stage } from '../three/stage'
import { formOf } from './forms'
import type { Form } from '../three/form'

const W = 320, H = 180
const made = new Map<string, string>()
let queue: Promise<unknown> = Promise.resolve()

async function draw(kit: string): Promise<string> {
  const look = await api.kit(kit, null, null)
  const forms = new Map<string, Form>()
  await Promise.allSettled(look.parts.filter((p) => p.form && look.pieces.some((q) => q.part === p.part))
    .map(async (p) => forms.set(p.part, await formOf(look.look, p.part, 2))))
  if (!forms.size) return ''
  const body = new KitBody(benched(look.pieces, look.parts), forms)
  const stage = sharedStage()
  try {
    body.paint(paint())
    stage.scene.add(body.group)
    stage.lookAt(body.box)
    stage.renderer.render(stage.scene, stage.camera)
    return stage.canvas.toDataURL('image/png')
  } finally {
    stage.scene.remove(body.group)
    body.close()
  }
}

// One canvas for all: browsers allow only a few contexts, and take back those of a busy page.
let shared: Stage | null = null
let rest: ReturnType<typeof setTimeout> | undefined
function sharedStage(): Stage {
  clearTimeout(rest)
  rest = setTimeout(() => { // nobody has asked for a while
    const holder = shared?.canvas.parentElement
    shared?.close()
    holder?.remove()
    shared = null
  }, 8000)
  if (shared && !shared.renderer.getContext().isContextLost()) return shared
  const holder = document.createElement('div')
  holder.className = 'thumb-stage'
  const canvas = document.createElement('canvas')
  holder.append(canvas)
  document.body.append(holder)
  shared = new Stage(canvas)
  return shared
}

/// A picture of the kit as its file now is, `W` by `H` pixels; '' when there is none. Kept by what it shows.
export function thumb(kit: string, hash: string, theme: string): Promise<string> {
  const key = `${kit} ${hash} ${theme}`
  const there = made.get(key)
  if (there !== undefined) return Promise.resolve(there)
  const next = queue.then(() => draw(kit)).catch(() => draw(kit)).then((url) => { made.set(key, url); return url }, () => '')
  queue = next
  return next
}
export const thumbSize = { W, H }
