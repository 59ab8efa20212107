import type { QuoteLine, TimeEntry } from '../../../domain/contract'
import type { WorkDetails } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import {
  laborToStart,
  running,
  startAgreed,
  startClock,
  stopClock,
  suggestedWork,
} from '../../../store/timeEntries'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { RunningClock, StoppedClock } from '../../components/TimeClock'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { useNow } from '../../useNow'
import { ChooseWork, OtherWork } from './ClockButtons'
import { minutesOf, workText } from './timeEntryText'

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

/** The clock on Today (`jobId` null) or on a job; the main button starts the most likely work, unless it is `quiet`. */
export function Clock({ jobId, quiet }: { jobId: string | null; quiet?: boolean }) {
  const now = useNow()
  if (!permissions.value.has('clock')) return null
  const runs = running.value.at(-1)
  const work = suggestedWork(jobId)
  // Agreed work is started from the dock.
  const begins = jobId !== null && laborToStart(jobId) !== undefined
  const others = jobId === null ? ({ at: 'clock' } as const) : ({ at: 'job-clock', id: jobId } as const)
  const label = jobId === null ? t.title : t.titleOnJob
  const clockKey = jobId === null ? 'today.clock' : 'job.clock'
  const otherKey = jobId === null ? 'today.otherWork' : 'job.otherWork'
  const keys = <OtherWork jobId={jobId} to={others} shortcut={otherKey} />
  const startButton = (words: string) =>
    work && (
      <PrimaryButton
        label={words}
        hint={workText(work, jobId)}
        shortcut={clockKey}
        onPress={() => void start(work)}
      />
    )
  if (!runs)
    return (
      <StoppedClock label={label}>
        {!begins &&
          !quiet &&
          (startButton(t.start) ?? <ChooseWork jobId={jobId} to={others} shortcut={clockKey} />)}
        {keys}
      </StoppedClock>
    )
  const minutes = minutesOf(runs, now)
  const elsewhere = jobId !== null && runs.job_id !== jobId
  const words = en.app.joined([workText(runs, jobId), t.since(format.value.time(runs.started_at))])
  return (
    <RunningClock
      label={label}
      minutes={minutes}
      workLabel={words}
      warnings={<ClockWarnings runs={runs} minutes={minutes} />}
    >
      {elsewhere && work ? (
        <>
          {!begins && startButton(t.switchTo)}
          <ButtonRow>
            <Button label={t.stop} onPress={() => void stop(minutes)} />
            <Button label={t.otherKind} to={others} shortcut={otherKey} />
          </ButtonRow>
        </>
      ) : (
        <>
          <PrimaryButton label={t.stop} shortcut={clockKey} onPress={() => void stop(minutes)} />
          {keys}
        </>
      )}
    </RunningClock>
  )
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
