// A view whose code comes when it is first shown.
import { useEffect, useState } from 'preact/hooks'
import type { ComponentType } from 'preact'
import { Oops, Waiting } from './parts'

export function later<P extends object>(bring: () => Promise<ComponentType<P>>): ComponentType<P> {
  let here: ComponentType<P> | null = null
  return function Later(props: P) {
    const [, again] = useState(0)
    const [failed, fail] = useState(false)
    useEffect(() => {
      if (failed) return
      if (here) { again((n) => n + 1); return } // it came between the drawing and this effect
      bring().then((c) => { here = c; again((n) => n + 1) }, () => fail(true))
    }, [failed])
    if (here) {
      const Here = here
      return <Here {...props} />
    }
    if (failed) return <Oops says="A piece of this page did not load." again={() => fail(false)} />
    return <Waiting says="Loading" />
  }
}
