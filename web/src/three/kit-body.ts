// All pieces of a kit in one mesh and one set of lines: two draw calls however many pieces.
// Each vertex knows its piece and the way in which the piece is pulled apart; a shader moves it.
import { Box3, BufferAttribute, BufferGeometry, Color, Group, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshLambertMaterial,
  Raycaster, Sphere, Vector3 } from 'three'
import type { Material, Ray } from 'three'
import type { Piece, Point3 } from '../types'
import type { Form } from './form'
import type { Paint } from './stage'

interface Seat { piece: Piece; form: Form; first: number; place: Matrix4; box: Box3; away: Vector3 }

export class KitBody {
  readonly group = new Group()
  readonly box = new Box3()
  readonly seats: Seat[] = []
  private apart = { value: 0 }
  private picked = { value: -1 }
  private pickColour = { value: new Color() }
  private mesh: Mesh
  private lines: LineSegments

  constructor(pieces: Piece[], forms: Map<string, Form>) {
    const seats = pieces.filter((p) => forms.has(p.part))
    const vertices = seats.reduce((n, p) => n + forms.get(p.part)!.vertices, 0)
    const at = new Float32Array(vertices * 3)
    const away = new Float32Array(vertices * 3)
    const which = new Float32Array(vertices)
    const corners: number[] = []
    const edges: number[] = []
    let first = 0
    for (const piece of seats) {
      const form = forms.get(piece.part)!
      const place = new Matrix4().fromArray(piece.place)
      const seat: Seat = { piece, form, first, place, box: new Box3(), away: new Vector3() }
      const v = new Vector3()
      const last = (form.frames - 1) * form.vertices * 3
      for (let i = 0; i < form.vertices; i++) {
        v.fromArray(form.positions, last + 3 * i).applyMatrix4(place)
        v.toArray(at, 3 * (first + i))
        seat.box.expandByPoint(v)
        which[first + i] = this.seats.length
      }
      for (const c of form.corners) corners.push(first + c)
      for (const c of form.edges) edges.push(first + c)
      first += form.vertices
      this.seats.push(seat)
      this.box.union(seat.box)
    }
    this.spread(away)
    const body = new BufferGeometry()
    body.setAttribute('position', new BufferAttribute(at, 3))
    body.setAttribute('away', new BufferAttribute(away, 3))
    body.setAttribute('which', new BufferAttribute(which, 1))
    body.setIndex(new BufferAttribute(Uint32Array.from(corners), 1))
    const outline = new BufferGeometry()
    for (const name of ['position', 'away', 'which']) outline.setAttribute(name, body.getAttribute(name))
    outline.setIndex(new BufferAttribute(Uint32Array.from(edges), 1))
    this.mesh = new Mesh(body, this.moved(new MeshLambertMaterial({ flatShading: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, side: 2 }), true))
    this.lines = new LineSegments(outline, this.moved(new LineBasicMaterial(), false))
    this.mesh.frustumCulled = this.lines.frustumCulled = false
    this.group.add(this.mesh, this.lines)
  }

  /// Each piece moves away from the middle of the kit; pieces in the same spot move by turns.
  private spread(away: Float32Array): void {
    const middle = this.box.getCenter(new Vector3())
    const size = this.box.getSize(new Vector3())
    const reach = size.length()
    this.seats.forEach((seat, n) => {
      const way = seat.box.getCenter(new Vector3()).sub(middle)
      if (way.length() < reach / 1000) way.set(0, 0, n % 2 ? 1 : -1).multiplyScalar(reach / 8)
      seat.away.copy(way).multiplyScalar(0.9).addScaledVector(way.clone().normalize(), reach * 0.06)
      for (let i = 0; i < seat.form.vertices; i++) seat.away.toArray(away, 3 * (seat.first + i))
    })
  }

  private moved<M extends Material>(m: M, colours: boolean): M {
    m.onBeforeCompile = (shader) => {
      Object.assign(shader.uniforms, { apart: this.apart, picked: this.picked, pickColour: this.pickColour })
      shader.vertexShader = shader.vertexShader
        .replace('#include <common>', '#include <common>\nattribute vec3 away;\nattribute float which;\nuniform float apart;\nuniform float picked;\nvarying float chosen;')
        .replace('#include <begin_vertex>', '#include <begin_vertex>\ntransformed += away * apart;\nchosen = abs(which - picked) < 0.5 ? 1.0 : 0.0;')
      if (colours) shader.fragmentShader = shader.fragmentShader
        .replace('#include <common>', '#include <common>\nuniform vec3 pickColour;\nvarying float chosen;')
        .replace('#include <color_fragment>', '#include <color_fragment>\ndiffuseColor.rgb = mix(diffuseColor.rgb, pickColour, chosen);')
    }
    return m
  }

  paint(p: Paint): void {
    ;(this.mesh.material as MeshLambertMaterial).color.copy(p.steel)
    ;(this.lines.material as LineBasicMaterial).color.copy(p.edge)
    this.pickColour.value.copy(p.accent)
  }
  setApart(x: number): void { this.apart.value = x }
  setPicked(n: number): void { this.picked.value = n }

  /// The piece that a ray meets first, or -1.
  hit(ray: Ray): number {
    const caster = new Raycaster()
    let best = -1
    let nearest = Infinity
    const all = this.mesh.geometry
    for (const [n, seat] of this.seats.entries()) {
      const shift = seat.away.clone().multiplyScalar(this.apart.value)
      caster.ray.copy(ray)
      caster.ray.origin.sub(shift)
      if (!caster.ray.intersectsBox(seat.box.clone().expandByScalar(1))) continue
      const one = new BufferGeometry()
      one.setAttribute('position', all.getAttribute('position'))
      one.setIndex(new BufferAttribute(seat.form.corners.map((c) => c + seat.first), 1))
      one.boundingSphere = seat.box.getBoundingSphere(new Sphere())
      const found = caster.intersectObject(new Mesh(one, this.mesh.material), false)[0]
      if (found && found.distance < nearest) { nearest = found.distance; best = n }
    }
    return best
  }

  /// A point of a piece's own frame, where it now is.
  at(n: number, p: Point3): Point3 {
    const seat = this.seats[n]
    const v = new Vector3(...p).applyMatrix4(seat.place).addScaledVector(seat.away, this.apart.value)
    return [v.x, v.y, v.z]
  }
  boxApart(): Box3 {
    const all = new Box3()
    for (const s of this.seats) all.union(s.box.clone().translate(s.away.clone().multiplyScalar(this.apart.value)))
    return all
  }
  close(): void { this.mesh.geometry.dispose(); this.lines.geometry.dispose() }
}
