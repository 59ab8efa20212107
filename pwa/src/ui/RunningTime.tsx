import { en } from '../domain/words'
import { running } from '../store/timeEntries'
import { minutesOf } from './features/clock/timeEntryText'
import { buildPath } from './router'
import { useNow } from './useNow'

/** The running clock on every screen but Today, which shows it large. */
export function RunningTime() {
  const now = useNow()
  const runs = running.value.at(-1)
  if (!runs) return null
  const minutes = minutesOf(runs, now)
  return (
    <a
      class="running-time"
      href={buildPath(runs.job_id === null ? { at: 'today' } : { at: 'job', id: runs.job_id })}
    >
      <span aria-hidden="true">{en.clockFace.running(minutes)}</span>
      <b class="visually-hidden">{en.clockFace.runningLabel(Math.floor(minutes / 60), minutes % 60)}</b>
    </a>
  )
}
