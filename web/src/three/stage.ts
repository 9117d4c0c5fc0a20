// One canvas with a camera that turns about what is shown. Draws only when something changed.
import { Box3, Color, DirectionalLight, HemisphereLight, PerspectiveCamera, Scene, Vector3, WebGLRenderer } from 'three'
import { OrbitControls } from 'three/addons/controls/OrbitControls.js'

export interface Paint { steel: Color; edge: Color; accent: Color; picked: Color; stop: Color; ground: Color }

/// On paper, whatever the theme: light steel, black edges, tools darker.
const INK: Record<keyof Paint, string> = { steel: '#d8d8d8', edge: '#000', accent: '#8f8f8f', picked: '#5a5a5a', stop: '#3c3c3c', ground: '#fff' }
let printing = false

/// Colours of the page's theme, read where the stylesheet says them; while it is printed, those of paper.
export function paint(): Paint {
  if (printing) return Object.fromEntries(Object.entries(INK).map(([k, v]) => [k, new Color(v)])) as unknown as Paint
  const style = getComputedStyle(document.documentElement)
  const of = (name: string) => new Color(style.getPropertyValue(name).trim() || '#888')
  return { steel: of('--steel'), edge: of('--steel-edge'), accent: of('--accent'), picked: of('--risk'), stop: of('--stop'), ground: of('--picture') }
}

export const frameLog = { calls: 0, ms: 0, frames: 0 } // read by the tests

const PAPER = 640 // pixels of the page's unit between the margins of a sheet of paper

export class Stage {
  readonly scene = new Scene()
  readonly camera = new PerspectiveCamera(32, 1, 1, 100000)
  readonly renderer: WebGLRenderer
  readonly controls: OrbitControls
  onDraw: (() => void) | null = null
  onPaint: (() => void) | null = null
  private wanted = false
  private over = false
  private box = new Box3()
  private watchers: { disconnect(): void }[] = []

  constructor(readonly canvas: HTMLCanvasElement) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, preserveDrawingBuffer: true })
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio))
    this.camera.up.set(0, 0, 1)
    this.scene.add(new HemisphereLight(0xffffff, 0x8a8f8a, 2.1))
    const sun = new DirectionalLight(0xffffff, 1.6)
    sun.position.set(-0.4, -1, 1.3)
    this.camera.add(sun)
    this.scene.add(this.camera)
    this.controls = new OrbitControls(this.camera, canvas)
    this.controls.addEventListener('change', () => this.draw())
    // the wheel moves the page until the picture is taken up
    this.controls.enableZoom = false
    canvas.addEventListener('focus', () => { this.controls.enableZoom = true })
    canvas.addEventListener('blur', () => { this.controls.enableZoom = false })
    const sizes = new ResizeObserver(() => this.fit())
    sizes.observe(canvas.parentElement!)
    const theme = new MutationObserver(() => this.repaint())
    theme.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] })
    this.watchers = [sizes, theme]
    addEventListener('beforeprint', this.onPaper)
    addEventListener('afterprint', this.onScreen)
    this.fit()
  }

  private repaint(): void { this.onPaint?.(); this.draw() }

  private fit(): void {
    const { clientWidth: w, clientHeight: h } = this.canvas.parentElement!
    if (!w || !h) return
    this.renderer.setSize(w, h, false)
    this.camera.aspect = w / h
    this.camera.updateProjectionMatrix()
    this.draw()
  }

  draw(): void {
    if (this.wanted || this.over) return
    this.wanted = true
    requestAnimationFrame(() => { this.wanted = false; this.frame() })
  }
  private frame(): void {
    if (this.over) return
    const began = performance.now()
    this.renderer.render(this.scene, this.camera)
    this.onDraw?.()
    frameLog.calls = this.renderer.info.render.calls
    frameLog.ms = performance.now() - began
    frameLog.frames++
  }
  /// What is printed is the frame that was shown last, in the colours of paper: it keeps its place, so
  /// that tags and lines still lie on it, and is made smaller as a whole.
  private onPaper = (): void => {
    const box = this.canvas.parentElement!
    const { clientWidth: w, clientHeight: h } = box
    const small = Math.min(1, PAPER / w)
    printing = true
    this.onPaint?.()
    this.frame()
    this.copy() // browsers print the 3D canvas as it was last on the screen, a flat one as it is
    Object.assign(box.style, { width: `${w}px`, height: `${h}px`, transform: `scale(${small})`, transformOrigin: '0 0', marginBottom: `${(small - 1) * h}px` })
  }
  private onScreen = (): void => {
    printing = false
    this.paper?.remove()
    this.paper = null
    this.canvas.style.visibility = ''
    this.repaint()
    Object.assign(this.canvas.parentElement!.style, { width: '', height: '', transform: '', transformOrigin: '', marginBottom: '' })
  }

  private paper: HTMLCanvasElement | null = null
  private copy(): void {
    this.paper?.remove()
    this.paper = document.createElement('canvas')
    this.paper.width = this.canvas.width
    this.paper.height = this.canvas.height
    this.paper.getContext('2d')?.drawImage(this.canvas, 0, 0)
    this.canvas.after(this.paper)
    this.canvas.style.visibility = 'hidden'
  }

  /// Looks at `box` from the front, a little from the right and above.
  lookAt(box: Box3, from = new Vector3(0.55, -1, 0.6)): void {
    this.box.copy(box)
    const middle = box.getCenter(new Vector3())
    const way = from.clone().normalize()
    const far = this.farEnough(box, middle, way)
    this.camera.near = far / 200
    this.camera.far = far * 20
    this.camera.updateProjectionMatrix()
    this.controls.target.copy(middle)
    this.camera.position.copy(middle).addScaledVector(way, far)
    this.controls.update()
    this.draw()
  }
  /// Sees all of `box` from where the camera is: for a kit that is being pulled apart.
  keepIn(box: Box3): void {
    this.lookAt(box, this.camera.position.clone().sub(this.controls.target))
  }
  /// How far off along `way` the camera must stand to see every corner of the box, with a margin.
  private farEnough(box: Box3, middle: Vector3, way: Vector3): number {
    const right = Math.hypot(way.x, way.y) > 1e-3 ? new Vector3(-way.y, way.x, 0).normalize() : new Vector3(1, 0, 0)
    const up = way.clone().cross(right)
    const high = Math.tan((this.camera.fov * Math.PI) / 360) * 0.86
    let far = 10
    for (let n = 0; n < 8; n++) {
      const v = new Vector3(n & 1 ? box.max.x : box.min.x, n & 2 ? box.max.y : box.min.y, n & 4 ? box.max.z : box.min.z).sub(middle)
      const near = v.dot(way)
      far = Math.max(far, near + Math.abs(v.dot(right)) / (high * this.camera.aspect), near + Math.abs(v.dot(up)) / high)
    }
    return far
  }
  again(): void { this.lookAt(this.box) }

  /// Turns by `across` and `up` degrees, and moves nearer by a factor.
  turn(across: number, up: number, nearer = 1): void {
    const arm = this.camera.position.clone().sub(this.controls.target)
    const flat = Math.hypot(arm.x, arm.y)
    const a = Math.atan2(arm.y, arm.x) + (across * Math.PI) / 180
    const limit = Math.PI / 2 - 0.02
    const e = Math.min(limit, Math.max(-limit, Math.atan2(arm.z, flat) + (up * Math.PI) / 180))
    const r = arm.length() / nearer
    this.camera.position.set(r * Math.cos(e) * Math.cos(a), r * Math.cos(e) * Math.sin(a), r * Math.sin(e)).add(this.controls.target)
    this.controls.update()
    this.draw()
  }

  /// Where a point of the scene is on the canvas, in pixels of the page; null behind the camera.
  private spot = new Vector3()
  where(x: number, y: number, z: number): [number, number] | null {
    const v = this.spot.set(x, y, z).project(this.camera)
    if (v.z > 1) return null
    return [((v.x + 1) / 2) * this.canvas.clientWidth, ((1 - v.y) / 2) * this.canvas.clientHeight]
  }

  close(): void {
    this.over = true
    removeEventListener('beforeprint', this.onPaper)
    removeEventListener('afterprint', this.onScreen)
    for (const w of this.watchers) w.disconnect()
    this.controls.dispose()
    this.renderer.dispose()
    this.renderer.forceContextLoss()
  }
}

/// Arrow keys turn, + and - move nearer and farther, 0 looks at all again.
export function stageKeys(stage: Stage, ev: KeyboardEvent): void {
  const turns: Record<string, [number, number, number]> = {
    ArrowLeft: [-10, 0, 1], ArrowRight: [10, 0, 1], ArrowUp: [0, 10, 1], ArrowDown: [0, -10, 1], '+': [0, 0, 1.15], '=': [0, 0, 1.15], '-': [0, 0, 1 / 1.15],
  }
  if (ev.ctrlKey || ev.metaKey || ev.altKey) return
  if (ev.key === '0') stage.again()
  else if (turns[ev.key]) stage.turn(...turns[ev.key])
  else return
  ev.preventDefault()
}
