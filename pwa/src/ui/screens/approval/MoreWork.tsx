import type { Finding, Shown } from '../../../domain/contract'
import { matchWork } from '../../../domain/labor/workMatch'
import type { ShopPrices } from '../../../domain/quotes/book'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { en } from '../../../domain/words/index'
import { draftAndOffer, nextQuoteKind } from '../../../store/approvalRequests'
import { jsonDigest } from '../../../store/browser/sha256'
import { customer } from '../../../store/customers'
import { finding } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { unconfirmedPrices } from '../../../store/priceBook'
import { histories } from '../../../store/timeReports'
import { TextField } from '../../components/Field'
import { NumberStepper } from '../../components/NumberStepper'
import { Caution } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { FormPage } from '../../FormPage'
import { Pictures } from '../../features/pictures/Pictures'
import { PricesFirst } from '../../features/quotes/PricesFirst'
import { currentBasis, namesOf } from '../../features/quotes/quoteCalculation'
import { stepNumber } from '../../features/quotes/stepNumber'
import { TypicalHours, usualHours, WorkName } from '../../features/quotes/WorkName'
import { NotFound } from '../../NotFound'
import { format, today } from '../../shopFormat'
import { type FormState, useForm } from '../../useForm'
import { documentOf, type Line, type MoreWorkFormFields, madeOf, readMoreWork } from './moreWorkFields'

const t = en.asking

export function MoreWork({ id }: { id: string }) {
  const row = finding(id)
  const basis = currentBasis()
  if (unconfirmedPrices.value.length) return <PricesFirst back={{ at: 'finding', id }} />
  return row && basis ? <MoreWorkForm row={row} basis={basis} /> : <NotFound />
}

/** Work for one finding: quoted, offered and sent for approval in one form. */
function MoreWorkForm({ row, basis }: { row: Finding; basis: ShopPrices }) {
  const ticket = job(row.job_id)
  const machineKind = machine(ticket?.machine_id ?? '')?.kind ?? ''
  const shown = namesOf(row.job_id)
  const form = useForm<MoreWorkFormFields, string>({
    name: `ask:${row.id}`,
    blank: {
      words: row.words,
      left: row.consequence,
      ...named(matchWork(row.words, histories(), machineKind) ?? '', machineKind),
      byHand: false,
      parts: '',
      later: '',
    },
    check: (fields) => readMoreWork(fields, row).errors,
    save: (fields) => {
      const { lines } = readMoreWork(fields, row)
      return lines && offer(row, lines, basis, shown)
    },
    back: { at: 'finding', id: row.id },
    next: (id) => ({ at: 'quote-ask', id }),
    saved: t.offered,
  })
  const { lines, nothing } = readMoreWork(form.fields, row)
  return (
    <FormPage
      form={form}
      overline={customer(ticket?.customer_id ?? '')?.name ?? ''}
      title={t.title}
      subtitle={en.ranks[row.rank]}
      saveLabel={t.offer}
      saveHint={t.offerHint(shown.customer)}
      missing={nothing ? t.offerStill : undefined}
      dockTop={
        lines?.length ? (
          <MoreWorkTotal lines={lines} document={documentOf('', lines, basis, shown, row)} />
        ) : null
      }
      after={<Pictures about_kind="finding" about_id={row.id} />}
    >
      <LaborFields form={form} machineKind={machineKind} />
      <TextField multiline label={t.left} {...form.field('left')} />
      {row.rank === 'safety' && <Caution text={en.finding.safetyCaution} />}
      <TextField decimal label={t.later} hint={t.laterHint} {...form.field('later')} />
    </FormPage>
  )
}

const named = (operation: string, machineKind: string) => ({
  operation,
  hours: usualHours(operation, machineKind),
})

/** Description, hours and price of parts. */
function LaborFields({
  form,
  machineKind,
}: {
  form: FormState<MoreWorkFormFields, string>
  machineKind: string
}) {
  const { fields, update, field } = form
  const step = (direction: 1 | -1) =>
    update({ hours: stepNumber(fields.hours, 0.25 * direction, format.value), byHand: true })
  return (
    <>
      <TextField multiline label={t.work} {...field('words')} />
      <NumberStepper
        label={t.hours}
        decreaseLabel={t.less}
        increaseLabel={t.longer}
        {...field('hours')}
        onValueChange={(hours) => update({ hours, byHand: true })}
        onStep={step}
      />
      <TypicalHours
        operation={fields.operation}
        machineKind={machineKind}
        taken={!fields.byHand && fields.hours !== ''}
        onTake={(hours) => update({ hours, byHand: false })}
      />
      <TextField decimal label={t.parts} hint={t.partsHint} {...field('parts')} />
      <WorkName
        operation={fields.operation}
        machineKind={machineKind}
        onOperation={(operation) => update(fields.byHand ? { operation } : named(operation, machineKind))}
      />
    </>
  )
}

/** Creates and offers the quote. Returns its id. */
function offer(row: Finding, lines: readonly Line[], basis: ShopPrices, shown: Shown): Promise<string> {
  const kind = nextQuoteKind(row.job_id)
  return draftAndOffer({ job_id: row.job_id, kind, basis }, lines, async (id, placed) => {
    const document = documentOf(id, placed, basis, shown, row)
    const { valid_until, total_minor } = document
    return { valid_until, total_minor, digest: await jsonDigest(document), shown, offered_on: today() }
  })
}

function MoreWorkTotal({ lines, document }: { lines: readonly Line[]; document: OfferDocument }) {
  const { total_minor, later_total_minor } = document
  return (
    <RunningTotal
      name={t.comesTo}
      amount={format.value.money(total_minor)}
      breakdown={madeOf(lines, later_total_minor)}
    />
  )
}
