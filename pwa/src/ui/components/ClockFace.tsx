import type { ComponentChildren } from 'preact'
import { en } from '../../domain/words'

const its = en.clock

interface FaceProps {
  minutes: number
  words: string
  /** Something about it that a person should look at. */
  calls?: ComponentChildren
  children: ComponentChildren
}

/** A clock that runs: how long in figures one reads from the next bench, what for, and what can be done. */
export function ClockFace({ minutes, words, calls, children }: FaceProps) {
  return (
    <section class="clock" aria-label={its.title}>
      <p class="runs">
        <b>
          <span aria-hidden="true">{its.running(minutes)}</span>
          <span class="unseen">{its.runningLabel(Math.floor(minutes / 60), minutes % 60)}</span>
        </b>
        <span>{words}</span>
      </p>
      {calls}
      {children}
    </section>
  )
}

/** No clock runs: one thing to start, and others. */
export function ClockRest({ children }: { children: ComponentChildren }) {
  return (
    <section class="clock" aria-label={its.title}>
      {children}
    </section>
  )
}
