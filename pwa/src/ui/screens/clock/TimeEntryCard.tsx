import type { ComponentChildren } from 'preact'
import type { TimeEntry } from '../../../domain/contract'
import { wallTimeAt } from '../../../domain/labor/clock'
import { en } from '../../../domain/words/index'
import { members } from '../../../store/shop'
import { isOfThisPhone } from '../../../store/timeEntries'
import { minutesOf, spanText, workText } from '../../features/clock/timeEntryText'
import { format, zone } from '../../shopFormat'
import { useNow } from '../../useNow'

const t = en.clock

export function TimeEntryCard({ row, children }: { row: TimeEntry; children?: ComponentChildren }) {
  const now = useNow()
  return (
    <div class="card">
      <h2>{deviceWords(row)}</h2>
      <p>{workText(row)}</p>
      <p>
        {en.app.joined([
          format.value.weekday(wallTimeAt(zone.value, Date.parse(row.started_at)).day),
          spanText(row),
          t.length(minutesOf(row, now)),
        ])}
      </p>
      {children}
    </div>
  )
}

function deviceWords(row: TimeEntry): string {
  if (row.device_started_at === null && row.device_ended_at === null) return t.onNoPhone
  return isOfThisPhone(row) ? t.thisPhone : t.otherPhone
}

export function nameOf(row: TimeEntry): string {
  return members.value.find((member) => member.id === row.member_id)?.name ?? t.myTime
}
