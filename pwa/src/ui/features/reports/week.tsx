import { useSignal } from '@preact/signals'
import type { EntryKind, TimeEntry } from '../../../domain/contract'
import { daysFrom, type ShopDay, startOfWeek } from '../../../domain/labor/worked'
import { type Day, daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { shop } from '../../../store/shop'
import type { FillPattern } from '../../components/BarChart'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { hoursFromSeconds } from '../../hoursText'
import { memberName } from '../../names'
import { format, today } from '../../shopFormat'

const t = en.timeReports

/** How the kinds of work are told apart in bars. */
export const KIND_PATTERNS: Record<EntryKind, FillPattern> = {
  repair: 'solid',
  diagnosis: 'hatched',
  travel: 'dotted',
  errand: 'ruled',
  rework: 'crossed',
  shop: 'plain',
}

export interface Week {
  first: Day
  days: ShopDay[]
  /** "Mon, Nov 23 to Sun, Nov 29" */
  words: string
  go: (weeks: number) => void
}

/** The selected week of the shop, the current one at first. */
export function useWeek(): Week | null {
  const at = useSignal(today())
  const row = shop.value
  if (!row) return null
  const first = startOfWeek(at.value, row.week_start)
  const words = t.span(format.value.weekday(first), format.value.weekday(daysAfter(first, 6)))
  return {
    first,
    days: daysFrom(first, 7, row.zone),
    words,
    go: (weeks) => {
      at.value = daysAfter(first, 7 * weeks)
    },
  }
}

export function WeekButtons({ week }: { week: Week }) {
  return (
    <ButtonRow>
      <Button label={t.earlier} onPress={() => week.go(-1)} />
      {daysAfter(week.first, 7) <= today() && <Button label={t.later} onPress={() => week.go(1)} />}
    </ButtonRow>
  )
}

/** Running and disputed entries, which are not part of the totals. */
export function UnsettledEntries({ entries }: { entries: readonly TimeEntry[] }) {
  if (!entries.length) return null
  return (
    <Section title={t.apart}>
      {entries.map((entry) => {
        const when = format.value.moment(entry.started_at)
        return (
          <ListItem
            key={entry.id}
            title={en.app.listed([memberName(entry.member_id), en.clock.kinds[entry.kind]])}
            {...(entry.state === 'disputed' && { to: { at: 'time-settle', id: entry.id } as const })}
            details={entry.state === 'open' ? t.running(when) : t.disputed(when)}
          />
        )
      })}
    </Section>
  )
}

/** Seconds as "7.25 h" in the shop's format. */
export function hoursText(seconds: number): string {
  return t.amount(format.value.number(hoursFromSeconds(seconds)))
}
