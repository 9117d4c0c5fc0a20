// A fault in one view stays in that view: the rest of the page goes on, and the view can be tried again.
import { Component } from 'preact'
import type { ComponentChildren } from 'preact'
import { Oops } from './parts'

export class Guard extends Component<{ children: ComponentChildren }, { says: string | null }> {
  state = { says: null as string | null }
  componentDidCatch(err: unknown): void {
    console.error(err)
    this.setState({ says: err instanceof Error ? err.message : String(err) })
  }
  render() {
    if (this.state.says === null) return this.props.children
    return <Oops says={`This view has a fault of ours: ${this.state.says}. Nothing was written by it.`} again={() => this.setState({ says: null })} />
  }
}
