import { useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { session } from '../../../store/session/session'
import { members } from '../../../store/shop'
import { maySeeAllTime, readOvertimePay } from '../../../store/timeReports'
import { badAmount } from '../../badAmount'
import { PrimaryButton } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Totals } from '../../components/Totals'
import { ServerUnreachable, useServerAnswer } from '../../features/reports/useServerAnswer'
import { hoursText, useWeek, type Week, WeekButtons } from '../../features/reports/week'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { fieldBinder } from '../../useForm'

const t = en.timeReports

/** The pay of a week at a rate typed here. Neither rate nor sum is stored. */
export function PayReport() {
  const week = useWeek()
  return week ? <PayOf week={week} /> : <NotFound />
}

function PayOf({ week }: { week: Week }) {
  const [fields, setFields] = useState<PayFormFields>({
    member: session.value.member?.id ?? '',
    rate: '',
    bonus: '',
  })
  const [workedOut, setWorkedOut] = useState<PayFormFields | null>(null)
  const [errors, setErrors] = useState<{ rate?: string; bonus?: string }>({})
  const { answer, failed, ask } = useServerAnswer(readOvertimePay)
  const field = fieldBinder({
    fields,
    errors,
    update: (changed) => setFields({ ...fields, ...changed }),
  })

  function workOut() {
    const rate_minor = readAmount(fields.rate)
    const bonus_minor = fields.bonus.trim() ? readAmount(fields.bonus) : 0
    setErrors({
      ...(rate_minor === null && { rate: t.missingRate }),
      ...(bonus_minor === null && { bonus: badAmount() }),
    })
    if (rate_minor === null || bonus_minor === null) return
    setWorkedOut(fields)
    void ask({ member_id: fields.member, day: week.first, rate_minor, bonus_minor })
  }
  // The sum is cleared when rate, bonus, week or member change.
  const same = workedOut?.rate === fields.rate && workedOut.bonus === fields.bonus
  const fits = same && answer?.first === week.first && answer.member_id === fields.member
  return (
    <ShopPage
      title={t.reports.pay}
      subtitle={week.words}
      dock={<PrimaryButton label={t.workOut} form="pay" />}
    >
      <WeekButtons week={week} />
      <Form id="pay" errors={errors} onSubmit={workOut}>
        {maySeeAllTime() && (
          <SelectField
            label={t.member}
            options={members.value.map(({ id, name }) => [id, name])}
            {...field('member')}
          />
        )}
        <TextField decimal label={t.rate} {...field('rate')} />
        <TextField decimal label={t.bonus} hint={t.bonusHint} {...field('bonus')} />
      </Form>
      {failed && <ServerUnreachable onRetry={workOut} />}
      {answer && fits && <PayBreakdown answer={answer} />}
      <p class="hint">{t.payNotKept}</p>
    </ShopPage>
  )
}

interface PayFormFields {
  member: string
  rate: string
  bonus: string
}

/** Parses an amount; null where it is none, or negative. */
function readAmount(text: string): number | null {
  const minor = format.value.readMoney(text)
  return minor === null || minor < 0 ? null : minor
}

/** The sum with its components. */
function PayBreakdown({ answer }: { answer: NonNullable<Awaited<ReturnType<typeof readOvertimePay>>> }) {
  const { money } = format.value
  return (
    <div role="status">
      <p class="multiline">
        <b>{t.total(hoursText(answer.seconds))}</b>
      </p>
      <Totals
        lines={[
          { name: t.straight, amount: money(answer.straight_minor) },
          { name: t.regular, amount: money(Math.round(Number(answer.regular_rate_minor))) },
          { name: t.premium(hoursText(answer.over_seconds)), amount: money(answer.premium_minor) },
        ]}
        grandTotal={{ name: t.payTotal, amount: money(answer.total_minor) }}
      />
      <p class="hint">{answer.note}</p>
    </div>
  )
}
