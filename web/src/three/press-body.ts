// The part in the press: the punch comes down, the part folds about the die's centre line. Frame:
// x along the press, y away from the operator, z up; origin on the die's centre line at its top.
import { BoxGeometry, Group, ExtrudeGeometry, Matrix4, Mesh, MeshLambertMaterial, Shape, Vector2 } from 'three'
import { chords } from '../draw/outline'
import type { BrakeStep, BrakeTool } from '../types'
import type { Form } from './form'
import { PartBody } from './part-body'
import type { Paint } from './stage'

/// A tool from its profile [y, z, bulge], extruded along x over its lengths.
function toolBody(tool: BrakeTool, material: MeshLambertMaterial): Group {
  const g = new Group()
  const outline = chords(tool.profile, 0.15).map(([y, z]) => new Vector2(y, z))
  if (outline.length < 3) return g
  for (const [from, till] of tool.lengths) {
    const body = new Mesh(new ExtrudeGeometry(new Shape(outline), { depth: till - from, bevelEnabled: false }), material)
    // shape's x, y, depth become the press's y, z, x
    body.applyMatrix4(new Matrix4().set(0, 0, 1, from, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1))
    g.add(body)
  }
  return g
}

export class PressBody {
  readonly group = new Group()
  private part: PartBody
  private punch = new Group()
  private finger: Mesh
  private tool = new MeshLambertMaterial({ side: 2 })
  private stop = new MeshLambertMaterial()

  constructor(form: Form, readonly step: BrakeStep, tools: BrakeTool[]) {
    this.part = new PartBody(form)
    this.part.group.applyMatrix4(new Matrix4().fromArray(step.place))
    for (const t of tools) {
      const body = toolBody(t, this.tool)
      if (t.name === step.punch) this.punch.add(body)
      else if (t.name === step.die) this.group.add(body)
    }
    const lengths = tools.find((t) => t.name === step.die)?.lengths ?? []
    const span = lengths.length ? Math.max(...lengths.map((l) => l[1])) - Math.min(...lengths.map((l) => l[0])) : 200
    const middle = lengths.length ? (Math.max(...lengths.map((l) => l[1])) + Math.min(...lengths.map((l) => l[0]))) / 2 : 0
    this.finger = new Mesh(new BoxGeometry(Math.min(60, span / 5), 24, 12), this.stop)
    this.finger.position.set(middle, step.gauge_x + 12, step.gauge_r)
    this.group.add(this.part.group, this.punch, this.finger)
    this.stroke(0)
  }
  /// From 0, the part lies on the die with the punch above it, to 1, bent.
  stroke(t: number): void {
    this.part.fold(t)
    this.punch.position.z = this.step.depth * (1 - t)
    this.finger.position.y = this.step.gauge_x + 12 + (t > 0.05 ? this.step.gauge_back : 0)
  }
  paint(p: Paint): void {
    this.part.paint(p)
    this.tool.color.copy(p.accent)
    this.stop.color.copy(p.picked)
  }
  box() { return this.part.box().applyMatrix4(this.part.group.matrix) }
  close(): void {
    this.part.close()
    this.group.traverse((o) => { if (o instanceof Mesh) o.geometry.dispose() })
  }
}
