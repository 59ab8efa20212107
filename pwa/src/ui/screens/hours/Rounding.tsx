import { type Bias, biases, STEPS } from '../../../domain/rounding'
import { en } from '../../../domain/words'
import { apartIn, endedIn } from '../../../store/hours'
import { shop } from '../../../store/shop'
import { Caution, Facts, Part } from '../../components/Part'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { Apart, hoursTold, memberName, OtherWeeks, useWeek } from './week'

const its = en.hours

export function Rounding() {
  const week = useWeek()
  const zone = shop.value?.zone
  if (!week || !zone) return <Nowhere back={{ at: 'reports' }} />
  const ends = week.days.at(-1)?.ends ?? 0
  const found = biases(
    endedIn(week.days).filter(({ ended_at }) => Date.parse(ended_at) <= ends),
    zone,
  )
  return (
    <Sheet title={its.reports.rounding} under={week.words} back={{ at: 'reports' }}>
      <OtherWeeks week={week} />
      <p class="lines">{its.exact}</p>
      {found.some(({ against }) => against.length) && <Caution words={its.against} />}
      {found.map((bias) => (
        <Part key={bias.member_id} title={memberName(bias.member_id)}>
          <p class="lines">
            <b>{its.total(hoursTold(bias.seconds))}</b>
          </p>
          <Facts facts={STEPS.map((step) => [its.steps(step), told(bias, step)])} />
        </Part>
      ))}
      {!found.length && <p class="blank">{its.none}</p>}
      <Apart entries={apartIn(week.days)} />
    </Sheet>
  )
}

function told(bias: Bias, step: number): string {
  const seconds = (bias.rounded[step] ?? bias.seconds) - bias.seconds
  if (!seconds) return its.even
  const amount = its.minutes(figures.value.number(String(Math.round(Math.abs(seconds) / 6) / 10)))
  return seconds < 0 ? its.takes(amount) : its.gives(amount)
}
