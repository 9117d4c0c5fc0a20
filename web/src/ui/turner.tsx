// Large keys that turn a picture, for gloves and for the keyboard.
import type { Stage } from '../three/stage'

export function Turner({ stage }: { stage: () => Stage | null }) {
  const keys: [string, string, (s: Stage) => void][] = [
    ['Turn left', '\u21b6', (s) => s.turn(-22.5, 0)], ['Turn right', '\u21b7', (s) => s.turn(22.5, 0)],
    ['Tip up', '\u2191', (s) => s.turn(0, 15)], ['Tip down', '\u2193', (s) => s.turn(0, -15)],
    ['Nearer', '+', (s) => s.turn(0, 0, 1.25)], ['Farther', '\u2212', (s) => s.turn(0, 0, 0.8)], ['See all', '\u25a1', (s) => s.again()],
  ]
  return (
    <div class="turner full no-print" role="group" aria-label="Turn the picture">
      {keys.map(([says, sign, act]) => (
        <button key={says} class="plain" aria-label={says} title={says} onClick={() => { const s = stage(); if (s) act(s) }}>{sign}</button>
      ))}
    </div>
  )
}
