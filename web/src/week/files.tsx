// What the run wrote: the packet, programs and drawings.
import { fileUrl, saveUrl } from '../api'
import { boxOf, chords } from '../draw/outline'
import type { Run } from '../types'
import { lens, time } from '../units'

export function fileStem(part: string): string { return part.replace(/[/ ]+/g, '-') }

export function Files({ run, name }: { run: Run; name: string }) {
  return (
    <div class="stack">
      <p class="caution">Programs and settings are estimates to be proven on a first piece. The machine's manual and the shop's own rules come first.</p>
      <ul class="cards">
        <li><a class="card" target="_blank" rel="noreferrer" href={fileUrl(name, 'packet.pdf')}><h3>Packet</h3><p class="small">all papers, PDF</p></a></li>
        <li><a class="card" href={saveUrl(name, 'run.json')} download={`${name}.json`}><h3>run.json</h3><p class="small">everything, for other programs</p></a></li>
      </ul>
      <h2>Torch programs</h2>
      <ul class="cards">
        {run.sheets.filter((s) => s.program).map((s) => (
          <li key={s.id}><a class="card" href={saveUrl(name, s.program)} download={s.program.split('/').pop()}><h3>{s.program_name}</h3>
            <p class="small">sheet {s.id}, {s.material}, {s.times} x {time(s.cut_time)}</p></a></li>
        ))}
      </ul>
      <h2>Drawings of blanks</h2>
      <ul class="cards small-cards">
        {run.blanks.map((b) => (
          <li key={b.part}><div class="card"><h3>{b.part}</h3><p class="small">{lens([span(b, 0), span(b, 1)])}</p>
            <p class="row">{['dxf', 'svg'].map((k) => <a key={k} class="button plain" aria-label={`${b.part} as ${k.toUpperCase()}`} download href={saveUrl(name, `blanks/${fileStem(b.part)}.${k}`)}>{k.toUpperCase()}</a>)}</p></div></li>
        ))}
      </ul>
    </div>
  )
}
function span(b: Run['blanks'][0], axis: 0 | 1): number {
  const box = boxOf(chords(b.outer))
  return box[axis + 2] - box[axis]
}
