import type { EntryKind } from '../../../domain/contract'
import { type MemberWeek, memberWeeks, reworkPerHundred } from '../../../domain/labor/week'
import { secondsOf, splitByDay } from '../../../domain/labor/worked'
import { en } from '../../../domain/words/index'
import { shop } from '../../../store/shop'
import { type EndedEntry, endedIn, openOrDisputedIn } from '../../../store/timeReports'
import { type Bar, BarChart } from '../../components/BarChart'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList, Section } from '../../components/Section'
import {
  hoursText,
  KIND_PATTERNS,
  UnsettledEntries,
  useWeek,
  type Week,
  WeekButtons,
} from '../../features/reports/week'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

const t = en.timeReports
const KINDS = Object.keys(KIND_PATTERNS) as EntryKind[]
const SHORT_DAY_S = 8 * 3600

export function WeekReport() {
  const week = useWeek()
  if (!week) return <NotFound />
  const ended = endedIn(week.days)
  const weeks = memberWeeks(ended, week.days)
  // One scale for all members, so that their bars can be compared.
  const most = Math.max(SHORT_DAY_S, ...weeks.flatMap(({ days }) => days.map(({ seconds }) => seconds)))
  const kinds = allKinds(weeks)
  const again = reworkPerHundred(kinds)
  return (
    <ShopPage title={t.reports.week} subtitle={week.words}>
      <WeekButtons week={week} />
      {weeks.map((each) => (
        <MemberSection key={each.member_id} of={each} ended={ended} week={week} most={most} />
      ))}
      {!weeks.length && (
        <div class="empty-state">
          <b>{t.none}</b>
          <p>{t.noneHint}</p>
        </div>
      )}
      <UnsettledEntries entries={openOrDisputedIn(week.days)} />
      {again !== null && <p class="multiline">{t.rework(format.value.number(`${again}`))}</p>}
      <p class="hint">{t.journeys}</p>
      <ButtonRow stacked>
        <Button
          wide
          newTab
          label={t.table}
          hint={t.tableHint}
          href={`/api/v1/reports/hours.csv?day=${week.first}`}
        />
      </ButtonRow>
    </ShopPage>
  )
}

function MemberSection({
  of,
  ended,
  week,
  most,
}: {
  of: MemberWeek
  ended: EndedEntry[]
  week: Week
  most: number
}) {
  const own = splitByDay(
    ended.filter(({ member_id }) => member_id === of.member_id),
    week.days,
  )
  const bars = of.days.map(({ on, seconds }): Bar => {
    const segments = KINDS.map((kind) => ({
      kind,
      pattern: KIND_PATTERNS[kind],
      value: own
        .filter((part) => part.on === on && part.span.kind === kind)
        .reduce((sum, part) => sum + secondsOf(part), 0),
    })).filter(({ value }) => value > 0)
    const parts = segments.map(({ kind, value }) => t.partLabel(en.clock.kinds[kind], hoursText(value)))
    return {
      name: format.value.weekday(on),
      segments,
      value: seconds ? hoursText(seconds) : '–',
      ariaLabel: t.dayLabel(format.value.weekday(on), parts.length ? parts : [t.noTime]),
    }
  })
  const kinds = KINDS.flatMap((kind) => {
    const seconds = of.kinds.find(([name]) => name === kind)?.[1]
    return seconds ? [{ kind, seconds }] : []
  })
  return (
    <Section title={memberName(of.member_id)}>
      <BarChart
        title={en.app.listed([memberName(of.member_id), week.words])}
        bars={bars}
        max={most}
        legend={kinds.map(({ kind }) => ({ pattern: KIND_PATTERNS[kind], text: en.clock.kinds[kind] }))}
      />
      <DescriptionList items={kinds.map(({ kind, seconds }) => [en.clock.kinds[kind], hoursText(seconds)])} />
      <p class="multiline">
        <b>{t.total(hoursText(of.seconds))}</b>
      </p>
      <Overtime seconds={of.seconds} />
    </Section>
  )
}

function Overtime({ seconds }: { seconds: number }) {
  const after = Number(shop.value?.overtime_after_hours ?? 40) * 3600
  if (seconds <= after) return null
  return (
    <>
      <p class="multiline">{t.over(hoursText(seconds - after), hoursText(after))}</p>
      <p class="hint">{t.overHint}</p>
    </>
  )
}

function allKinds(weeks: readonly MemberWeek[]): [string, number][] {
  const sums = new Map<string, number>()
  for (const { kinds } of weeks)
    for (const [kind, seconds] of kinds) sums.set(kind, (sums.get(kind) ?? 0) + seconds)
  return [...sums]
}
