import type { TimeKind } from '../../../domain/rows'
import { type MemberWeek, memberWeeks, reworkPerHundred } from '../../../domain/week'
import { en } from '../../../domain/words'
import { byDay, secondsOf } from '../../../domain/worked'
import { apartIn, type Ended, endedIn } from '../../../store/hours'
import { shop } from '../../../store/shop'
import { type Bar, Bars, type Ink } from '../../components/Bars'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { Apart, hoursTold, memberName, OtherWeeks, useWeek, type Week } from './week'

const its = en.hours
const INKS: Record<TimeKind, Ink> = {
  repair: 'solid',
  diagnosis: 'hatched',
  travel: 'dotted',
  errand: 'ruled',
  rework: 'crossed',
  shop: 'plain',
}
const KINDS = Object.keys(INKS) as TimeKind[]
const SHORT_DAY_S = 8 * 3600

export function WeekHours() {
  const week = useWeek()
  if (!week) return <Nowhere back={{ at: 'reports' }} />
  const ended = endedIn(week.days)
  const weeks = memberWeeks(ended, week.days)
  // One scale for all, so that bars of two people can be held against each other.
  const most = Math.max(SHORT_DAY_S, ...weeks.flatMap(({ days }) => days.map(({ seconds }) => seconds)))
  const kinds = allKinds(weeks)
  const again = reworkPerHundred(kinds)
  return (
    <Sheet title={its.reports.week} under={week.words} back={{ at: 'reports' }}>
      <OtherWeeks week={week} />
      {weeks.map((each) => (
        <Member key={each.member_id} of={each} ended={ended} week={week} most={most} />
      ))}
      {!weeks.length && (
        <div class="blank">
          <b>{its.none}</b>
          <p>{its.noneHint}</p>
        </div>
      )}
      <Apart entries={apartIn(week.days)} />
      {again !== null && <p class="lines">{its.rework(figures.value.number(`${again}`))}</p>}
      <p class="hint">{its.journeys}</p>
      <Keys tall>
        <Key
          wide
          opens
          words={its.table}
          hint={its.tableHint}
          href={`/api/v1/reports/hours.csv?day=${week.first}`}
        />
      </Keys>
    </Sheet>
  )
}

function Member({ of, ended, week, most }: { of: MemberWeek; ended: Ended[]; week: Week; most: number }) {
  const own = byDay(
    ended.filter(({ member_id }) => member_id === of.member_id),
    week.days,
  )
  const bars = of.days.map(({ on, seconds }): Bar => {
    const parts = KINDS.map((kind) => ({
      kind,
      ink: INKS[kind],
      value: own
        .filter((part) => part.on === on && part.span.kind === kind)
        .reduce((sum, part) => sum + secondsOf(part), 0),
    })).filter(({ value }) => value > 0)
    const told = parts.map(({ kind, value }) => its.partTold(en.clock.kinds[kind], hoursTold(value)))
    return {
      name: figures.value.weekday(on),
      parts,
      figure: seconds ? hoursTold(seconds) : '–',
      told: its.dayTold(figures.value.weekday(on), told.length ? told : [its.noTime]),
    }
  })
  const kinds = KINDS.flatMap((kind) => {
    const seconds = of.kinds.find(([name]) => name === kind)?.[1]
    return seconds ? [{ kind, seconds }] : []
  })
  return (
    <Part title={memberName(of.member_id)}>
      <Bars
        title={en.app.listed([memberName(of.member_id), week.words])}
        bars={bars}
        most={most}
        legend={kinds.map(({ kind }) => ({ ink: INKS[kind], words: en.clock.kinds[kind] }))}
      />
      <Facts facts={kinds.map(({ kind, seconds }) => [en.clock.kinds[kind], hoursTold(seconds)])} />
      <p class="lines">
        <b>{its.total(hoursTold(of.seconds))}</b>
      </p>
      <Over seconds={of.seconds} />
    </Part>
  )
}

function Over({ seconds }: { seconds: number }) {
  const after = Number(shop.value?.overtime_after_hours ?? 40) * 3600
  if (seconds <= after) return null
  return (
    <>
      <p class="lines">{its.over(hoursTold(seconds - after), hoursTold(after))}</p>
      <p class="hint">{its.overHint}</p>
    </>
  )
}

function allKinds(weeks: readonly MemberWeek[]): [string, number][] {
  const sums = new Map<string, number>()
  for (const { kinds } of weeks)
    for (const [kind, seconds] of kinds) sums.set(kind, (sums.get(kind) ?? 0) + seconds)
  return [...sums]
}
