import type { Work } from '../../../domain/commands'
import type { QuoteLine } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { likely, running, startAgreed, startClock, startsWith, stopClock } from '../../../store/time'
import { ClockFace, ClockRest } from '../../components/ClockFace'
import { Key, Keys, Slab } from '../../components/Press'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { useNow } from '../../ticking'
import { minutesOf, workWords } from './about'

const its = en.clock
const HOURS = 10

/** While one press is being written down another says nothing new: two starts at once would be in dispute. */
let writing = false

/** Starts a clock and offers to take it back. Gives whether the phone has it. */
export function start(work: Work): Promise<boolean> {
  return press(() => startClock(work), its.started(en.clock.kinds[work.kind]))
}

/** Begins agreed work: the job goes to repair, and the clock runs on its line. */
export function begin(line: QuoteLine, jobId: string): Promise<boolean> {
  return press(() => startAgreed(line, jobId), its.begun)
}

function stop(minutes: number): Promise<boolean> {
  return press(stopClock, its.stopped(minutes))
}

async function press(does: () => Promise<() => Promise<void>>, words: string): Promise<boolean> {
  if (writing) return false
  writing = true
  let undo = async () => {}
  const saved = await saving(async () => {
    undo = await does()
  })
  writing = false
  if (saved) tell(words, undo)
  return saved
}

/** The clock on a job's screen, or on today's: one press does the likely thing. */
export function Clock({ jobId }: { jobId: string | null }) {
  const now = useNow()
  if (!permissions.value.has('clock')) return null
  const runs = running.value.at(-1)
  const work = likely(jobId)
  // What was agreed is begun from the dock.
  const begins = jobId !== null && startsWith(jobId) !== undefined
  const others = jobId === null ? ({ at: 'clock' } as const) : ({ at: 'job-clock', id: jobId } as const)
  const keys = (
    <Keys>
      <Key words={jobId === null ? its.otherWork : its.otherKind} to={others} />
      {jobId === null && <Key words={its.myTime} to={{ at: 'my-time' }} />}
    </Keys>
  )
  if (!runs)
    return (
      <ClockRest>
        {begins ? null : work ? (
          <Slab words={its.start} hint={workWords(work, jobId)} onPress={() => void start(work)} />
        ) : (
          <Slab words={its.start} hint={its.choose} to={others} />
        )}
        {keys}
      </ClockRest>
    )
  const minutes = minutesOf(runs, now)
  const limit = shop.value?.clock_hours ?? HOURS
  const forgotten = minutes >= limit * 60
  const elsewhere = jobId !== null && runs.job_id !== jobId
  const words = en.app.joined([workWords(runs, jobId), its.since(figures.value.time(runs.started_at))])
  const calls = (
    <>
      {running.value.length > 1 && <p class="caution">{its.twoRun}</p>}
      {forgotten && (
        <>
          <p class="caution">{its.longHint(limit)}</p>
          <Keys tall>
            <Key wide words={its.stoppedAt} to={{ at: 'time-fix', id: runs.id }} />
          </Keys>
        </>
      )}
    </>
  )
  return (
    <ClockFace minutes={minutes} words={words} calls={calls}>
      {elsewhere && work ? (
        <>
          {!begins && (
            <Slab words={its.switchTo} hint={workWords(work, jobId)} onPress={() => void start(work)} />
          )}
          <Keys>
            <Key words={its.stop} onPress={() => void stop(minutes)} />
            <Key words={its.otherKind} to={others} />
          </Keys>
        </>
      ) : (
        <>
          <Slab words={its.stop} onPress={() => void stop(minutes)} />
          {keys}
        </>
      )}
    </ClockFace>
  )
}
