import { timesheetRows } from '../../../domain/labor/timesheet'
import { daysFrom } from '../../../domain/labor/worked'
import { en } from '../../../domain/words'
import { ownTime } from '../../../store/timeEntries'
import { today, zone } from '../../shopFormat'
import { useNow } from '../../useNow'
import { startMoment } from './timeEntryText'

/** The time clocked today, what still runs included. */
export function ClockedToday() {
  const now = useNow()
  const day = daysFrom(today(), 1, zone.value)
  const rows = timesheetRows(ownTime.value, day, { zone: zone.value, now, began: startMoment })
  const seconds = rows.reduce((sum, row) => sum + (row.on === today() ? (row.seconds ?? 0) : 0), 0)
  if (!seconds) return null
  return <p class="hint">{en.today.clocked(en.clockFace.running(Math.floor(seconds / 60)))}</p>
}
