import { useState } from 'preact/hooks'
import { inOrder } from '../../../domain/lines'
import type { Quote } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { decideQuote, linesOf, quote } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { type Answer, Verdict } from '../../components/Verdict'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { documentOf, reckonWanted, shownNames, usualEnd } from './reckoned'

const its = en.quote.told

export function Told({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'offered' ? (
    <Note row={row} />
  ) : (
    <Nowhere {...(row && { back: { at: 'quote', id } })} />
  )
}

interface Typed {
  how: 'call' | 'in_person'
  who: string
  number: string
  conditions: string
  note: string
  answers: Record<string, Answer>
}

/** A decision given another way than on this glass, as a member noted it. */
function Note({ row }: { row: Quote }) {
  const its_job = job(row.job_id)
  const owner = its_job && customer(its_job.customer_id)
  const { fields, put, drop } = useDraft<Typed>(`told:${row.id}`, {
    how: 'call',
    who: shownNames(row).customer,
    number: owner?.phone ?? '',
    conditions: '',
    note: '',
    answers: {},
  })
  const [wrong, setWrong] = useState<{ who?: string; number?: string; note?: string; answers?: string }>({})
  const { busy, send } = useSend()
  const lines = inOrder(linesOf(row.id))
  const shown = documentOf(row, usualEnd(row)).lines.filter(({ kind }) => kind !== 'discount')
  const said = (answer: Answer) => shown.filter(({ id }) => fields.answers[id] === answer).map(({ id }) => id)
  const back = { at: 'quote', id: row.id } as const
  const sums = reckonWanted(row, lines, new Set(said('yes')))

  function save() {
    const found = {
      ...(!fields.who.trim() && { who: its.missingWho }),
      ...(fields.how === 'call' && !fields.number.trim() && { number: its.missingNumber }),
      ...(!fields.note.trim() && { note: its.missingNote }),
      ...(shown.some(({ id }) => !fields.answers[id]) && { answers: en.quote.owner.decideFirst }),
    }
    setWrong(found)
    if (Object.keys(found).length || !row.offer_digest) return
    const decision = {
      quote_id: row.id,
      revision: row.revision,
      how: fields.how,
      decided_by_name: fields.who.trim(),
      decided_at: moment(Date.now()),
      zone: shop.value?.zone ?? 'UTC',
      digest: row.offer_digest,
      accepted_ids: said('yes'),
      declined_ids: said('no'),
      number_called: fields.how === 'call' ? fields.number.trim() : '',
      conditions: fields.conditions.trim(),
      note: fields.note,
    }
    void send(
      () => decideQuote(decision),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={en.quote.builder.title}
      title={its.title}
      back={back}
      dock={
        <>
          <Tally name={en.quote.owner.youPay} amount={figures.value.money(sums.total_minor)} />
          <Slab words={its.save} form="told" busy={busy} />
        </>
      }
    >
      <Form id="told" wrong={wrong} onSend={save}>
        <p>{its.explain}</p>
        <Choice
          label={its.how}
          value={fields.how}
          options={[
            { value: 'call', words: its.call },
            { value: 'in_person', words: its.inPerson },
          ]}
          onValue={(how) => put({ how })}
        />
        <Field label={its.who} value={fields.who} wrong={wrong.who} onValue={(who) => put({ who })} />
        {fields.how === 'call' && (
          <Field
            label={its.number}
            hint={its.numberHint}
            value={fields.number}
            wrong={wrong.number}
            onValue={(number) => put({ number })}
          />
        )}
        <Field
          area
          label={its.note}
          value={fields.note}
          wrong={wrong.note}
          onValue={(note) => put({ note })}
        />
        <Field
          area
          label={its.conditions}
          hint={its.conditionsHint}
          value={fields.conditions}
          onValue={(conditions) => put({ conditions })}
        />
        <Part title={its.lines}>
          {shown.map((line) => (
            <Verdict
              key={line.id}
              words={line.words}
              amount={figures.value.money(line.amount_minor)}
              answer={fields.answers[line.id] ?? null}
              onAnswer={(answer) => put({ answers: { ...fields.answers, [line.id]: answer } })}
            />
          ))}
        </Part>
        {wrong.answers && <p class="wrong">{wrong.answers}</p>}
      </Form>
    </Sheet>
  )
}
