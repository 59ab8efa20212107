import { useState } from 'preact/hooks'
import type { Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { editQuote, quote } from '../../../store/quotes'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { usualEnd } from './reckoned'

const its = en.quote.terms

export function Terms({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'draft' ? <Change row={row} /> : <Nowhere />
}

type Faults = { percent?: string; amount?: string }

function Change({ row }: { row: Quote }) {
  const [seen] = useState(row)
  const read = figures.value
  const { percent, minor } = row.discount
  const { fields, put, drop } = useDraft(`terms:${row.id}`, {
    off: percent != null ? 'percent' : minor != null ? 'amount' : 'none',
    percent: percent == null ? '' : read.number(percent),
    amount: read.typedMoney(minor ?? null),
    note: row.note,
    valid_until: usualEnd(row),
  })
  const [wrong, setWrong] = useState<Faults>({})
  const { busy, send } = useSend()
  const back = { at: 'quote', id: row.id } as const

  function save() {
    const percent = fields.off === 'percent' ? read.readNumber(fields.percent) : null
    const minor = fields.off === 'amount' ? read.readMoney(fields.amount) : null
    const found = {
      ...(fields.off === 'percent' &&
        (percent?.startsWith('-') ?? true) && { percent: en.quote.line.missingNumber }),
      ...(fields.off === 'amount' && (minor ?? -1) < 0 && { amount: en.quote.line.missingMoney }),
    }
    setWrong(found)
    if (Object.keys(found).length) return
    const { note, valid_until } = fields
    void send(
      () => editQuote(seen, { discount: { percent, minor }, note, valid_until: valid_until || null }),
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
      dock={<Slab words={its.save} form="terms" busy={busy} />}
    >
      <Form id="terms" wrong={wrong} onSend={save}>
        <Choice
          across
          label={its.discount}
          value={fields.off}
          options={[
            { value: 'none', words: its.none },
            { value: 'percent', words: its.percent },
            { value: 'amount', words: its.amount },
          ]}
          onValue={(off) => put({ off })}
        />
        {fields.off === 'percent' && (
          <Field
            decimal
            label={its.percentValue}
            value={fields.percent}
            wrong={wrong.percent}
            onValue={(percent) => put({ percent })}
          />
        )}
        {fields.off === 'amount' && (
          <Field
            decimal
            label={its.amountValue}
            value={fields.amount}
            wrong={wrong.amount}
            onValue={(amount) => put({ amount })}
          />
        )}
        <Field
          type="date"
          label={its.validUntil}
          value={fields.valid_until}
          onValue={(valid_until) => put({ valid_until })}
        />
        <Field area label={its.note} value={fields.note} onValue={(note) => put({ note })} />
      </Form>
    </Sheet>
  )
}
