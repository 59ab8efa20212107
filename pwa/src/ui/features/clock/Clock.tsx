import type { QuoteLine, TimeEntry } from '../../../domain/contract'
import type { WorkDetails } from '../../../domain/labor/clock'
import { timesheetRows } from '../../../domain/labor/timesheet'
import { daysFrom } from '../../../domain/labor/worked'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import {
  laborToStart,
  ownTime,
  running,
  startAgreed,
  startClock,
  stopClock,
  suggestedWork,
} from '../../../store/timeEntries'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { RunningClock, StoppedClock } from '../../components/TimeClock'
import { format, today, zone } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { useNow } from '../../useNow'
import { minutesOf, startMoment, workText } from './timeEntryText'

const t = en.clockFace
const HOURS = 10

/** True while a press is being stored; further presses are ignored, since two starts at once would be disputed. */
let writing = false

/** Starts a clock and offers undo. Returns whether the phone stored it. */
export function start(work: WorkDetails): Promise<boolean> {
  return press(() => startClock(work), t.started(en.clockFace.kinds[work.kind]))
}

/** Starts agreed work: moves the job to repair and starts the clock on the quote line. */
export function begin(line: QuoteLine, jobId: string): Promise<boolean> {
  return press(() => startAgreed(line, jobId), t.begun)
}

/** Stops the running clock, which has run this long, and offers undo. */
export function stop(minutes: number): Promise<boolean> {
  return press(stopClock, t.stopped(minutes))
}

async function press(does: () => Promise<() => Promise<void>>, words: string): Promise<boolean> {
  if (writing) return false
  writing = true
  let undo = async () => {}
  const saved = await saveWithToast(async () => {
    undo = await does()
  })
  writing = false
  if (saved) showToast(words, undo)
  return saved
}

/** The clock on Today (`jobId` null) or on a job; the main button starts the most likely work. */
export function Clock({ jobId }: { jobId: string | null }) {
  const now = useNow()
  if (!permissions.value.has('clock')) return null
  const runs = running.value.at(-1)
  const work = suggestedWork(jobId)
  // Agreed work is started from the dock.
  const begins = jobId !== null && laborToStart(jobId) !== undefined
  const others = jobId === null ? ({ at: 'clock' } as const) : ({ at: 'job-clock', id: jobId } as const)
  const keys = (
    <ButtonRow>
      <Button label={jobId === null ? t.otherWork : t.otherKind} to={others} />
      {jobId === null && <Button label={t.myTime} to={{ at: 'my-time' }} />}
    </ButtonRow>
  )
  if (!runs)
    return (
      <StoppedClock>
        {begins ? null : work ? (
          <PrimaryButton label={t.start} hint={workText(work, jobId)} onPress={() => void start(work)} />
        ) : (
          <PrimaryButton label={t.start} hint={t.choose} to={others} />
        )}
        {keys}
      </StoppedClock>
    )
  const minutes = minutesOf(runs, now)
  const elsewhere = jobId !== null && runs.job_id !== jobId
  const words = en.app.joined([workText(runs, jobId), t.since(format.value.time(runs.started_at))])
  return (
    <RunningClock
      minutes={minutes}
      workLabel={words}
      warnings={<ClockWarnings runs={runs} minutes={minutes} />}
    >
      {elsewhere && work ? (
        <>
          {!begins && (
            <PrimaryButton label={t.switchTo} hint={workText(work, jobId)} onPress={() => void start(work)} />
          )}
          <ButtonRow>
            <Button label={t.stop} onPress={() => void stop(minutes)} />
            <Button label={t.otherKind} to={others} />
          </ButtonRow>
        </>
      ) : (
        <>
          <PrimaryButton label={t.stop} onPress={() => void stop(minutes)} />
          {keys}
        </>
      )}
    </RunningClock>
  )
}

/** The time clocked today, what still runs included. */
export function ClockedToday() {
  const now = useNow()
  const day = daysFrom(today(), 1, zone.value)
  const rows = timesheetRows(ownTime.value, day, { zone: zone.value, now, began: startMoment })
  const seconds = rows.reduce((sum, row) => sum + (row.on === today() ? (row.seconds ?? 0) : 0), 0)
  if (!seconds) return null
  return <p class="hint">{en.today.clocked(t.running(Math.floor(seconds / 60)))}</p>
}

/** Warnings about running clocks: more than one, or one that was surely forgotten. */
function ClockWarnings({ runs, minutes }: { runs: TimeEntry; minutes: number }) {
  const limit = shop.value?.clock_hours ?? HOURS
  return (
    <>
      {running.value.length > 1 && <p class="caution">{t.twoRun}</p>}
      {minutes >= limit * 60 && (
        <>
          <p class="caution">{t.longHint(limit)}</p>
          <ButtonRow stacked>
            <Button wide label={t.stoppedAt} to={{ at: 'time-fix', id: runs.id }} />
          </ButtonRow>
        </>
      )}
    </>
  )
}
