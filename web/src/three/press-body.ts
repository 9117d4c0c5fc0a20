// The part in the press: the punch comes down, or all else comes up, and the part folds about the
// die's centre line. Frame:
// x to the gauge, y along the press from the middle of the bend, z up from the die's top face.
import { Box3, BoxGeometry, EdgesGeometry, ExtrudeGeometry, Group, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshLambertMaterial, Shape, Vector2, Vector3 } from 'three'
import { chords } from '../draw/outline'
import type { BrakeStep, BrakeTool } from '../types'
import type { Form } from './form'
import { PartBody } from './part-body'
import type { Paint } from './stage'

const BESIDE = 40 // mm of the tools that are drawn beside the part: a whole bed would hide it

/// A tool's profile [x, z, bulge] drawn out along the press, as far as `part` reaches.
function toolBody(tool: BrakeTool, at: number, length: number, part: Box3, material: MeshLambertMaterial, edge: LineBasicMaterial): Mesh {
  const from = Math.max(at, part.min.y - BESIDE)
  const till = Math.min(at + (length || tool.whole), part.max.y + BESIDE)
  const outline = chords(tool.profile, 0.15).map(([x, z]) => new Vector2(x, z))
  const body = new Mesh(new ExtrudeGeometry(new Shape(outline), { depth: Math.max(1, till - from), bevelEnabled: false }), material)
  // the shape's x, y and depth become the press's x, z and y
  body.geometry.applyMatrix4(new Matrix4().set(1, 0, 0, 0, 0, 0, 1, from, 0, 1, 0, 0, 0, 0, 0, 1))
  body.add(new LineSegments(new EdgesGeometry(body.geometry, 20), edge))
  return body
}

export class PressBody {
  readonly group = new Group()
  private part: PartBody
  private punch = new Group()
  private finger: Mesh
  private tool = new MeshLambertMaterial({ side: 2, flatShading: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 })
  private edge = new LineBasicMaterial()
  private stop = new MeshLambertMaterial()

  constructor(form: Form, readonly step: BrakeStep, tools: BrakeTool[], readonly thickness: number, readonly bedMoves: boolean) {
    this.part = new PartBody(form)
    const reach = this.part.box()
    this.part.fold(0)
    reach.union(this.part.box())
    const punch = tools.find((t) => t.name === step.punch)
    const die = tools.find((t) => t.name === step.die)
    if (punch) this.punch.add(toolBody(punch, step.punch_at, step.punch_length, reach, this.tool, this.edge))
    if (step.punch_turned) this.punch.scale.x = -1
    if (die) this.group.add(toolBody(die, step.die_at, step.die_length, reach, this.tool, this.edge))
    this.finger = new Mesh(new BoxGeometry(24, Math.max(20, Math.min(60, step.span / 4)), 12), this.stop)
    this.finger.visible = step.gauged
    this.group.add(this.part.group, this.punch, this.finger)
    this.stroke(0)
  }
  /// From 0, the punch just touches, to 1, bent and under load.
  stroke(t: number): void {
    this.part.fold(t)
    this.punch.position.z = this.thickness - this.step.depth * t
    this.group.position.z = this.bedMoves ? this.step.depth * t : 0
    this.finger.position.set(this.step.gauge_x + 12 + (t > 0.02 ? this.step.gauge_back : 0), 0, this.step.gauge_r + 4)
  }
  paint(p: Paint): void {
    this.part.paint(p)
    this.tool.color.copy(p.accent)
    this.edge.color.copy(p.edge)
    this.stop.color.copy(p.picked)
  }
  /// What is worth looking at: the part before and after, and the tools near it.
  box(): Box3 {
    this.stroke(1)
    const all = this.part.box()
    this.stroke(0)
    return all.union(this.part.box()).union(new Box3(new Vector3(-60, -this.step.span / 2, -60), new Vector3(60, this.step.span / 2, 110)))
  }
  close(): void {
    this.part.close()
    this.group.traverse((o) => { if (o instanceof Mesh || o instanceof LineSegments) o.geometry.dispose() })
  }
}
