import { useState } from 'preact/hooks'
import type { Channel, Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { sendRequest } from '../../../store/asking'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quote } from '../../../store/quotes'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { useDraft } from '../../draft'
import { giveTo } from '../../handed'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { QuoteSheet } from '../quotes/QuoteSheet'
import { standing } from '../quotes/reckoned'
import { Requests } from './Requests'

const its = en.asking.send

export function SendRequest({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'offered' ? (
    <Send row={row} />
  ) : (
    <Nowhere {...(row && { back: { at: 'quote', id } })} />
  )
}

/** How the owner of an offered quote is asked: each way is one press. */
function Send({ row }: { row: Quote }) {
  const { busy, send } = useSend()
  const { fields, put, drop } = useDraft(`asked:${row.id}`, { to: '' })
  const [wrong, setWrong] = useState<{ to?: string }>({})
  const owner = customer(job(row.job_id)?.customer_id ?? '')
  const { sums } = standing(row)

  function ask(channel: Channel, address: string) {
    let id = ''
    void send(
      async () => {
        id = await sendRequest({ quote_id: row.id, channel, address, name: owner?.name ?? '' })
      },
      () => {
        drop()
        goTo({ at: 'request', id })
      },
      its.asked,
    )
  }
  function askOther() {
    const to = fields.to.trim()
    const digits = to.replace(/\D/g, '').length
    if (/^[^@\s]+@[^@\s]+\.[^@\s]+$/.test(to)) return ask('email', to)
    if (!to.includes('@') && digits >= 7 && digits <= 15) return ask('sms', to)
    setWrong({ to: its.badAddress })
  }
  return (
    <QuoteSheet
      row={row}
      dock={
        <>
          {sums && <Tally name={en.quote.builder.total} amount={figures.value.money(sums.total_minor)} />}
          <Slab words={its.glass} hint={its.glassHint} onPress={() => giveTo('quote', row.id)} />
        </>
      }
    >
      <p>{its.explain}</p>
      <Keys tall>
        {owner?.phone && (
          <Key wide words={its.sms} hint={owner.phone} onPress={() => !busy && ask('sms', owner.phone)} />
        )}
        {owner?.email && (
          <Key wide words={its.email} hint={owner.email} onPress={() => !busy && ask('email', owner.email)} />
        )}
        <Key wide words={its.qr} hint={its.qrHint} onPress={() => !busy && ask('qr', '')} />
      </Keys>
      <Form id="asked" wrong={wrong} onSend={askOther}>
        <Field
          label={its.other}
          value={fields.to}
          wrong={wrong.to}
          capital="off"
          onValue={(to) => put({ to })}
        />
        <Keys tall>
          <Key wide words={its.toOther} onPress={askOther} />
        </Keys>
      </Form>
      <Requests quoteId={row.id} />
    </QuoteSheet>
  )
}
