import type { TimeEntry } from '../../../domain/contract'
import { type TimesheetRow, timesheetRows } from '../../../domain/labor/timesheet'
import { daysFrom, startOfWeek } from '../../../domain/labor/worked'
import type { Day } from '../../../domain/time'
import { en } from '../../../domain/words'
import { shopSession } from '../../../store/session/shopSession'
import { members, shop } from '../../../store/shop'
import { entriesOf, ownTime } from '../../../store/timeEntries'
import { maySeeAllTime } from '../../../store/timeReports'
import { PrimaryButton } from '../../components/Button'
import { SelectField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { listOf, minutesOf, spanText, startMoment, workText } from '../../features/clock/timeEntryText'
import { memberName } from '../../names'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format, today, zone } from '../../shopFormat'
import { useNow } from '../../useNow'

const t = en.clock

export interface Props {
  memberId?: string | undefined
}

/**
 * The member's week, the latest day first; each entry links to its correction or settlement. Who may correct the time
 * of others can choose the member.
 */
export function MyTime({ memberId }: Props) {
  const now = useNow()
  const begins = startOfWeek(today(), shop.value?.week_start ?? 'monday')
  const me = shopSession.value?.who.member_id ?? ''
  const theirs = memberId !== undefined && memberId !== me && maySeeAllTime() ? memberId : null
  const rows = theirs === null ? ownTime.value : entriesOf(theirs)
  const week = daysFrom(begins, 7, zone.value)
  const all = timesheetRows(rows, week, { zone: zone.value, now, began: startMoment })
  const days = new Map<Day, TimesheetRow[]>()
  for (const each of all) days.set(each.on, [...(days.get(each.on) ?? []), each])
  const others = members.value.filter(({ id }) => id !== me)
  return (
    <ShopPage
      title={theirs === null ? t.myTime : t.timeOf(memberName(theirs))}
      subtitle={t.weekTotal(minutesIn(all))}
      dock={
        <PrimaryButton
          label={t.addByHand}
          to={theirs === null ? { at: 'add-time' } : { at: 'add-time', memberId: theirs }}
        />
      }
    >
      {maySeeAllTime() && others.length > 0 && (
        <SelectField
          label={t.whose}
          value={theirs ?? me}
          options={[[me, t.myTime], ...others.map(({ id, name }) => [id, name] as const)]}
          onValueChange={(id) => navigate(listOf(id), { replace: true })}
        />
      )}
      {days.size === 0 && (
        <div class="empty-state">
          <b>{t.noTime}</b>
          <p>{t.noTimeHint}</p>
        </div>
      )}
      {[...days].map(([day, parts]) => (
        <Section
          key={day}
          title={t.dayTotal(day === today() ? t.today : format.value.weekday(day), minutesIn(parts))}
        >
          <List items={parts} keyOf={({ row }) => row.id} empty="">
            {({ row, started_at, ended_at, seconds }) => (
              <ListItem
                to={{ at: row.state === 'disputed' ? 'time-settle' : 'time-fix', id: row.id }}
                title={workText(row)}
                value={t.length(seconds === null ? minutesOf(row, now) : wholeMinutes(seconds))}
                details={en.app.joined([spanText({ ...row, started_at, ended_at }), ...remarks(row)])}
              />
            )}
          </List>
        </Section>
      ))}
      <ListItem title={en.timeReports.reports.title} details={en.settings.hoursHint} to={{ at: 'reports' }} />
    </ShopPage>
  )
}

const wholeMinutes = (seconds: number) => Math.floor(seconds / 60)

const minutesIn = (parts: readonly TimesheetRow[]) =>
  wholeMinutes(parts.reduce((sum, { seconds }) => sum + (seconds ?? 0), 0))

/** Remarks on an entry, such as corrected or disputed. */
function remarks(row: TimeEntry): string[] {
  const skew = row.start_skew_ms || row.end_skew_ms
  return [
    row.state === 'disputed' ? t.disputed : '',
    row.cause && t.causes[row.cause],
    row.reason && (row.corrects_id === null ? t.byHand(row.reason) : t.corrected(row.reason)),
    Math.abs(skew) < 60_000 ? '' : t.repaired(Math.round(skew / 60_000)),
  ].filter(Boolean)
}
