import type { ComponentChildren } from 'preact'
import { en } from '../../domain/words'

const t = en.clockFace

interface RunningClockProps {
  /** The name of the clock, which Today and the open job each have beside each other at the desk. */
  label: string
  minutes: number
  workLabel: string
  /** What a person should check, such as a clock that was surely forgotten. */
  warnings?: ComponentChildren
  children: ComponentChildren
}

/** A running clock: the time in digits readable from a distance, the work, and the actions. */
export function RunningClock({ label, minutes, workLabel, warnings, children }: RunningClockProps) {
  return (
    <section class="time-clock runs" aria-label={label}>
      <p class="running">
        <b>
          <span aria-hidden="true">{t.running(minutes)}</span>
          <span class="visually-hidden">{t.runningLabel(Math.floor(minutes / 60), minutes % 60)}</span>
        </b>
        <span>{workLabel}</span>
      </p>
      {warnings}
      {children}
    </section>
  )
}

/** No clock is running: what can be started. */
export function StoppedClock({ label, children }: Pick<RunningClockProps, 'label' | 'children'>) {
  return (
    <section class="time-clock" aria-label={label}>
      {children}
    </section>
  )
}
