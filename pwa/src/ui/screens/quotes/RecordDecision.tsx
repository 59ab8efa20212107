import type { Quote } from '../../../domain/contract'
import { inOrder } from '../../../domain/quotes/lines'
import { type Question, questionsOf } from '../../../domain/quotes/questions'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { decideQuote, linesOf, quote } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { TextField } from '../../components/Field'
import { type Answer, LineDecision } from '../../components/LineDecision'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { FormPage } from '../../FormPage'
import {
  calculateAccepted,
  defaultValidUntil,
  documentOf,
  shownNames,
} from '../../features/quotes/quoteCalculation'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { type FormState, useForm } from '../../useForm'

const t = en.quote.recordDecision

export function RecordDecision({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'offered' ? (
    <DecisionForm row={row} />
  ) : (
    <NotFound {...(row && { back: { at: 'quote', id } })} />
  )
}

interface DecisionFormFields {
  how: 'call' | 'in_person'
  who: string
  number: string
  conditions: string
  note: string
  answers: Record<string, Answer>
}

/** Records a decision that was given by phone or in person. */
function DecisionForm({ row }: { row: Quote }) {
  const jobRow = job(row.job_id)
  const customerRow = jobRow && customer(jobRow.customer_id)
  const shown = questionsOf(documentOf(row, defaultValidUntil(row)).lines)
  const form = useForm<DecisionFormFields>({
    name: `told:${row.id}`,
    blank: {
      how: 'call',
      who: shownNames(row).customer,
      number: customerRow?.phone ?? '',
      conditions: '',
      note: '',
      answers: {},
    },
    check: ({ how, who, number, note, answers }) => ({
      who: !who.trim() && t.missingWho,
      number: how === 'call' && !number.trim() && t.missingNumber,
      note: !note.trim() && t.missingNote,
      answers: shown.some(({ key }) => !answers[key]) && en.quote.customer.decideThis,
    }),
    save: (fields) => {
      const decision = decisionOf(row, fields, shown)
      return decision && decideQuote(decision)
    },
    back: { at: 'quote', id: row.id },
  })
  const { fields, update, field, errors } = form
  const sums = calculateAccepted(row, inOrder(linesOf(row.id)), new Set(answered(shown, fields, 'yes')))
  return (
    <FormPage
      form={form}
      overline={en.quote.builder.title}
      title={t.title}
      saveLabel={t.save}
      dockTop={<RunningTotal name={en.quote.customer.youPay} amount={format.value.money(sums.total_minor)} />}
    >
      <p>{t.explain}</p>
      <ChannelFields {...form} />
      <TextField multiline label={t.note} {...field('note')} />
      <TextField multiline label={t.conditions} hint={t.conditionsHint} {...field('conditions')} />
      <Section title={t.lines}>
        {shown.map(({ key, title, amount }) => (
          <LineDecision
            key={key}
            title={title}
            amount={format.value.money(amount)}
            answer={fields.answers[key] ?? null}
            error={fields.answers[key] ? undefined : errors['answers']}
            onAnswer={(answer) => update({ answers: { ...fields.answers, [key]: answer } })}
          />
        ))}
      </Section>
    </FormPage>
  )
}

/** How the decision was given, and by whom. */
function ChannelFields({ fields, field }: Pick<FormState<DecisionFormFields>, 'fields' | 'field'>) {
  return (
    <>
      <RadioGroup
        label={t.how}
        options={[
          { value: 'call', label: t.call },
          { value: 'in_person', label: t.inPerson },
        ]}
        {...field('how')}
      />
      <TextField label={t.who} {...field('who')} />
      {fields.how === 'call' && <TextField label={t.number} hint={t.numberHint} {...field('number')} />}
    </>
  )
}

const answered = (shown: readonly Question[], { answers }: DecisionFormFields, answer: Answer): string[] =>
  shown.filter(({ key }) => answers[key] === answer).flatMap(({ lines }) => lines.map(({ id }) => id))

/** The decision as the command takes it; null for a quote that was never offered. */
function decisionOf(row: Quote, fields: DecisionFormFields, shown: readonly Question[]) {
  if (!row.offer_digest) return null
  return {
    quote_id: row.id,
    revision: row.revision,
    how: fields.how,
    decided_by_name: fields.who.trim(),
    decided_at: moment(Date.now()),
    zone: shop.value?.zone ?? 'UTC',
    digest: row.offer_digest,
    accepted_ids: answered(shown, fields, 'yes'),
    declined_ids: answered(shown, fields, 'no'),
    number_called: fields.how === 'call' ? fields.number.trim() : '',
    conditions: fields.conditions.trim(),
    note: fields.note,
  }
}
