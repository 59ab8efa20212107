import { ROUNDING_STEPS } from '../../../domain/contract'
import { type RoundingBias, roundingBiases } from '../../../domain/labor/rounding'
import { en } from '../../../domain/words/index'
import { shop } from '../../../store/shop'
import { endedIn, openOrDisputedIn } from '../../../store/timeReports'
import { Caution, DescriptionList, Section } from '../../components/Section'
import { hoursText, UnsettledEntries, useWeek, WeekButtons } from '../../features/reports/week'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

const t = en.timeReports

export function RoundingReport() {
  const week = useWeek()
  const zone = shop.value?.zone
  if (!week || !zone) return <NotFound />
  const ends = week.days.at(-1)?.ends ?? 0
  const found = roundingBiases(
    endedIn(week.days).filter(({ ended_at }) => Date.parse(ended_at) <= ends),
    zone,
  )
  return (
    <ShopPage title={t.reports.rounding} subtitle={week.words}>
      <WeekButtons week={week} />
      <p class="multiline">{t.exact}</p>
      {found.some(({ against }) => against.length) && <Caution text={t.against} />}
      {found.map((bias) => (
        <Section key={bias.member_id} title={memberName(bias.member_id)}>
          <p class="multiline">
            <b>{t.total(hoursText(bias.seconds))}</b>
          </p>
          <DescriptionList items={ROUNDING_STEPS.map((step) => [t.steps(step), biasText(bias, step)])} />
        </Section>
      ))}
      {!found.length && <p class="empty-state">{t.none}</p>}
      <UnsettledEntries entries={openOrDisputedIn(week.days)} />
    </ShopPage>
  )
}

function biasText(bias: RoundingBias, step: number): string {
  const seconds = (bias.rounded[step] ?? bias.seconds) - bias.seconds
  if (!seconds) return t.even
  const amount = t.minutes(format.value.number(String(Math.round(Math.abs(seconds) / 6) / 10)))
  return seconds < 0 ? t.takes(amount) : t.gives(amount)
}
