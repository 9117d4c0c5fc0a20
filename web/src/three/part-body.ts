// One part that folds: a mesh, its edges and its bend lines, moved together between frames.
import { Box3, BufferAttribute, BufferGeometry, DynamicDrawUsage, Group, LineBasicMaterial, LineDashedMaterial, LineSegments, Mesh, MeshLambertMaterial } from 'three'
import type { Bend, Point3 } from '../types'
import { measure, placeOf, poseAt, spotOnBlank } from './form'
import type { Form, Measures, Spot } from './form'
import type { Paint } from './stage'

const PIECES = 24 // of a bend line, so that it follows the blank under it

export class PartBody {
  readonly group = new Group()
  readonly pose: Float32Array
  private mesh: Mesh
  private lines: LineSegments
  private bendLines: LineSegments
  private bendSpots: Spot[] = []
  private middles: (Spot | null)[] = []

  constructor(readonly form: Form, bends: Bend[] = []) {
    this.pose = new Float32Array(form.vertices * 3)
    const body = new BufferGeometry()
    const place = new BufferAttribute(this.pose, 3)
    place.setUsage(DynamicDrawUsage)
    body.setAttribute('position', place)
    body.setIndex(new BufferAttribute(form.corners.slice(), 1))
    const outline = new BufferGeometry()
    outline.setAttribute('position', place)
    outline.setIndex(new BufferAttribute(form.edges.slice(), 1))
    this.mesh = new Mesh(body, new MeshLambertMaterial({ flatShading: true, side: 2, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 }))
    this.lines = new LineSegments(outline, new LineBasicMaterial())
    for (const b of bends) this.addBend(b)
    const bent = new BufferGeometry()
    bent.setAttribute('position', new BufferAttribute(new Float32Array(this.bendSpots.length * 3), 3))
    this.bendLines = new LineSegments(bent, new LineDashedMaterial({ depthTest: false, dashSize: 8, gapSize: 5 }))
    this.bendLines.renderOrder = 2
    for (const o of [this.mesh, this.lines, this.bendLines]) o.frustumCulled = false
    this.group.add(this.mesh, this.lines, this.bendLines)
    this.fold(1)
  }

  private addBend(b: Bend): void {
    const [[x, y], [X, Y]] = [b.from!, b.to!]
    const along = (k: number): [number, number] => [x + ((X - x) * k) / PIECES, y + ((Y - y) * k) / PIECES]
    for (let k = 0; k < PIECES; k++) {
      const [s, e] = [spotOnBlank(this.form, ...along(k)), spotOnBlank(this.form, ...along(k + 1))]
      if (s && e) this.bendSpots.push(s, e)
    }
    this.middles.push(spotOnBlank(this.form, ...along(PIECES / 2)))
  }

  fold(t: number): void {
    poseAt(this.form, t, this.pose)
    this.mesh.geometry.getAttribute('position').needsUpdate = true
    const line = this.bendLines.geometry.getAttribute('position') as BufferAttribute
    this.bendSpots.forEach((s, n) => line.setXYZ(n, ...placeOf(this.form, s, this.pose)))
    line.needsUpdate = true
    this.bendLines.computeLineDistances()
  }

  paint(p: Paint): void {
    ;(this.mesh.material as MeshLambertMaterial).color.copy(p.steel)
    ;(this.lines.material as LineBasicMaterial).color.copy(p.edge)
    ;(this.bendLines.material as LineDashedMaterial).color.copy(p.picked)
  }

  /// Where the middle of bend `n` now is.
  bendAt(n: number): Point3 | null { const s = this.middles[n]; return s && placeOf(this.form, s, this.pose) }
  box(): Box3 { return new Box3().setFromArray(this.pose) }
  /// Read from what is drawn, not from what was sent: for the tests.
  measured(): Measures {
    return measure(this.mesh.geometry.getAttribute('position').array, this.mesh.geometry.getIndex()!.array)
  }
  close(): void { for (const o of [this.mesh, this.lines, this.bendLines]) o.geometry.dispose() }
}
