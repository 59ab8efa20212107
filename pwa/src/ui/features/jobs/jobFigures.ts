import { agreed, hasDecided } from '../../../store/agreed'
import { agreedLabor } from '../../../store/quotes'
import { timeOf } from '../../../store/timeEntries'
import { minutesOf } from '../clock/timeEntryText'

export interface JobFigures {
  /** What was approved, with tax, in minor units. */
  approved: number
  /** Minutes clocked, running clocks up to now. */
  clocked: number
  /** Minutes of the approved labor. */
  quoted: number
}

/** What was approved on a job, and the hours clocked against those quoted; null before the first approval. */
export function jobFigures(jobId: string, now: number): JobFigures | null {
  const found = hasDecided(jobId) ? agreed(jobId, now) : null
  if (!found) return null
  const clocked = timeOf(jobId).reduce((sum, row) => sum + minutesOf(row, now), 0)
  const quoted = Math.round(agreedLabor(jobId).reduce((sum, { hours }) => sum + Number(hours ?? 0), 0) * 60)
  return { approved: found.total, clocked, quoted }
}
