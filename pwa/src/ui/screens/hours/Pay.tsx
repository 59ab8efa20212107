import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { readPay, seesAll } from '../../../store/hours'
import { session } from '../../../store/session'
import { members } from '../../../store/shop'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { Sums } from '../../components/Sums'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { NotReached, useAsked } from './asked'
import { hoursTold, OtherWeeks, useWeek } from './week'

const its = en.hours

/** What a week comes to at a rate typed here. Neither the rate nor the sum is kept anywhere. */
export function Pay() {
  const week = useWeek()
  const own = session.value.member?.id ?? ''
  const [typed, setTyped] = useState({ member: own, rate: '', bonus: '' })
  const [reckoned, setReckoned] = useState(typed)
  const [wrong, setWrong] = useState<{ rate?: string; bonus?: string }>({})
  const { answer, failed, ask } = useAsked(readPay)
  if (!week) return <Nowhere back={{ at: 'reports' }} />
  const put = (changed: Partial<typeof typed>) => setTyped({ ...typed, ...changed })
  function reckon(first: string) {
    const rate = figures.value.readMoney(typed.rate)
    const bonus = typed.bonus.trim() ? figures.value.readMoney(typed.bonus) : 0
    const found = {
      ...((rate === null || rate < 0) && { rate: its.missingRate }),
      ...((bonus === null || bonus < 0) && { bonus: en.quote.line.missingMoney }),
    }
    setWrong(found)
    if (rate === null || bonus === null || Object.keys(found).length) return
    setReckoned(typed)
    void ask({ member_id: typed.member, day: first, rate_minor: rate, bonus_minor: bonus })
  }
  // A sum never stands under a rate, a bonus, a week or a name that it was not reckoned for.
  const same = reckoned.rate === typed.rate && reckoned.bonus === typed.bonus
  const fits = same && answer?.first === week.first && answer.member_id === typed.member
  const money = figures.value.money
  return (
    <Sheet
      title={its.reports.pay}
      under={week.words}
      back={{ at: 'reports' }}
      dock={<Slab words={its.reckon} form="pay" />}
    >
      <OtherWeeks week={week} />
      <Form id="pay" wrong={wrong} onSend={() => reckon(week.first)}>
        {seesAll() && (
          <Select
            label={its.member}
            value={typed.member}
            options={members.value.map(({ id, name }) => [id, name])}
            onValue={(member) => put({ member })}
          />
        )}
        <Field
          decimal
          label={its.rate}
          value={typed.rate}
          wrong={wrong.rate}
          onValue={(rate) => put({ rate })}
        />
        <Field
          decimal
          label={its.bonus}
          hint={its.bonusHint}
          value={typed.bonus}
          wrong={wrong.bonus}
          onValue={(bonus) => put({ bonus })}
        />
      </Form>
      {failed && <NotReached onRetry={() => reckon(week.first)} />}
      {answer && fits && (
        <div role="status">
          <p class="lines">
            <b>{its.total(hoursTold(answer.seconds))}</b>
          </p>
          <Sums
            sums={[
              { name: its.straight, amount: money(answer.straight_minor) },
              { name: its.regular, amount: money(Math.round(Number(answer.regular_rate_minor))) },
              { name: its.premium(hoursTold(answer.over_seconds)), amount: money(answer.premium_minor) },
            ]}
            grand={{ name: its.payTotal, amount: money(answer.total_minor) }}
          />
          <p class="hint">{answer.note}</p>
        </div>
      )}
      <p class="hint">{its.payTold}</p>
    </Sheet>
  )
}
