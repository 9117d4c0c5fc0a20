// What the server answers (docs/api.md) and what run.json holds (docs/formats/run.md).
// Lengths mm, angles degrees, mass kg, time s, money as decimal text.

export type Point = [number, number]
export type Point3 = [number, number, number]
export type Path = (string | number)[]

export interface FileError { text: string; file?: string; line: number; column: number }

export interface KitRow {
  kit: string; family: string; title: string; revision: string; hash: string; parts: number
  sizes: string[]; options: string[]; error: FileError | null
}
export interface Shop {
  name: string; unit: 'in' | 'mm'; currency: string; kits: KitRow[]
  drawings: { name: string; hash: string }[]; orders_hash: string
  runs: { run: string; date: string }[]; materials: string[]; sheets: string[]; sticks: string[]
  hardware: string[]; error: FileError | null; job: string | null; version: number
}

export type Level = 'stop' | 'risk' | 'note'
export interface Finding {
  level: Level; rule: string; kit: string | null; part: string | null
  where: { file: string; line: number; column: number; frame: string; at: Point3 } | null
  measured: number; limit: number; unit: string; says: string; fix: string
  signed: string | null // who, when: why
}
export interface Bend {
  id: string; angle: number; radius: number; toward?: 'up' | 'down'; source?: string; straight?: number; rotate?: number; from?: Point; to?: Point; line: number; path: Path | null
}
export interface Size { says: string; kind: string; value: string; path: Path; line: number; at: Point3; along: Point3 }
export interface Part {
  part: string; kind: 'sheet' | 'tube' | 'bar'; count: number; each: number; path: Path; material: string; thickness: number
  size: Point3; box: Point3; blank?: Point; mass: number; area?: number; holes_drawn?: number; form: boolean; drawing: string | null; layers?: Roles; holes?: number; volume: number; line: number
  bends: Bend[]; sizes: Size[]; makeable: boolean
  stale?: string // the look that its form is from, where the newest has none
}
export interface Option { name: string; title: string; normally: boolean; with: boolean }
export interface NamedSize { says: string; value: string; path: Path; line: number }
export interface Piece { part: string; name: string; mirrored: boolean; place: number[] }
export interface Quote {
  material: string; machine: string; labour: string; hardware: string; packing: string
  total: string; price: string; effort?: 'quick' | 'full'
}
export interface Look {
  kit: string; hash: string; text: string; written: boolean; error: FileError | null
  title: string; family: string; revision: string; sizes: string[]; options: Option[]; size: string | null; names: NamedSize[]
  findings: Finding[]; parts: Part[]; pieces: Piece[]; cost: Quote | null; look: string
}

export type Corner = [number, number, number]
export type Role = 'cut' | 'bend up' | 'bend down' | 'mark' | 'ignore'
export type Roles = Record<string, Role> // by layer, where they are other than the shop's
export interface Drawing {
  name: string; hash: string; written: boolean; outlines: Corner[][]; bends: { id: string; toward: string; from: Point; to: Point }[]; marks: Corner[][]; dropped: number; joined: number
  passed_over: unknown; layers: { layer: string; role: Role | null; shop_role: Role | null }[]; size: Point; units: string; units_said: boolean; error: FileError | null
}

export interface OrderRow {
  row: number; kit: string; size: string; options: string; count: number; due: string; order: string
}
export interface Orders { text: string; hash: string | null; written: boolean; rows: OrderRow[]; error: FileError | null }

export interface Job {
  job: string; state: 'waiting' | 'running' | 'done' | 'stopped' | 'failed'; stage: string
  part: number; whole: number; run: string; error: string | null // shares done: of the stage, of the run
}

export interface Monday {
  date: string; run?: string; run_date?: string; orders_error: FileError | null
  late?: { order: string; kit: string; count: number; due: string; ready: string | null; why: string }[]
  promise?: string | null; last_day_why?: string
  steel?: { what: string; unit: string; short: number; price: string; needed_by: string | null; last_day: string | null }[]
  hours?: { machine: string; hours: number; available: number; tightest: boolean }[]
  held_up?: { kit: string; part: string; boxes: number; why: string }[]
  profit?: { sales: string; cost: string; profit: string }
}

export interface Blank {
  part: string; material: string; thickness: number; count: number; spare: number
  outer: Corner[]; holes: Corner[][]; area: number; mass: number; cut_time: number
  bends: { id: string; from: Point; to: Point; angle: number; toward: string }[]
}
export interface Placement { part: string; copy: number; x: number; y: number; rotation: number; mirrored: boolean }
export interface Sheet {
  id: string; material: string; thickness: number; outline: Point[]; keep_out?: Point[][]; painted?: string; times: number; program: string
  program_name: string; kerf: number; cut_time: number; pierces: number; cut_length: number
  density: number; mass: number; stops: unknown[]; placements: Placement[]
  tabs: { at: Point; width: number }[]; scrap_cuts: { from: Point; to: Point }[]; drops: Point[][]
}
export interface Step {
  bends: string[]; stage: number; punch: string; punch_turned: boolean; die: string; station: number; gauge_x: number
  gauge_r: number; gauge_back: number; depth: number; start_depth: number; force: number; angle: number
  angle_under_load: number; turned_over: boolean; rotated: boolean
  // not in runs of an older version:
  carried?: number; rise?: number // by a bed that comes up until the sheet is touched; of what is held from there on
  then_flare?: number[] // dimples, by the dimple sheet's numbers: on the shop press before the next step
  gap?: number; gap_to?: string // what is left to the tools where no order leaves half a millimetre
}
/// Of the press: x to the gauge, y along the press from the middle of the bend, z up from the die's top.
export interface BrakeStep {
  bends: string[]; punch: string; punch_turned: boolean; die: string; gauge_x: number; gauge_r: number; gauge_back: number; depth: number; span: number
  punch_at: number; punch_length: number; die_at: number; die_length: number; blocked: boolean; gauged: boolean; gauge_edge?: string
}
export interface BrakeTool { name: string; kind: string; profile: Corner[]; whole: number }
export interface BrakePlay { part: string; changed: boolean; thickness: number; bed_moves: boolean; steps: BrakeStep[]; tools: BrakeTool[] }
export interface TubeBend {
  feed: number; rotate: number; angle: number; angle_under_load: number; radius: number; die_radius: number
}
export interface Tube {
  part: string; material: string; count: number; cut_length: number; od: number; wall: number; last: number
  trim_start: number; trim_end: number; bends: TubeBend[]
}
export interface Stick {
  stock: string; rack: number; length: number; times: number; kerf: number; trim: number
  pieces: { part: string; length: number }[]; leftover: number
}
export interface CartonPart { part: string; count: number; at: Point3; size: Point3; turn: string }
export interface Carton {
  kit: string; carton: string; box: number; of: number; gross_mass: number; billable_mass: number
  length_girth: number; parts: CartonPart[]
}
export interface Run {
  run: string; made_by: string; currency: string; date: string
  kits: { kit: string; title: string; revision: string; count: number; boxed: number; due: string }[]
  left_out: { kit: string; part: string; count: number; why: string }[]
  blanks: Blank[]; sheets: Sheet[]; brake: { part: string; steps: Step[] }[]; tubes: Tube[]
  sticks: Stick[]; cartons: Carton[]
  buy: { what: string; count: number; unit: string; needed: number; on_hand: number; price: string }[]
  load: { machine: string; hours: number; available: number }[]
  cost: ({ kit: string } & Quote)[]; findings: Finding[]
}
/// `t`: the second at which it ends, `wait` before it moves included.
export interface Move { from?: Point; to: Point; center: Point | null; way: -1 | 0 | 1; cut: boolean; etch?: boolean; t: number; wait?: number; line: number; block?: string }
export interface Torch { moves: Move[]; seconds: number; scribe: Point; planned: number }
