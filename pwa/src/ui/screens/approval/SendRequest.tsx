import type { LinkChannel, Quote } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { sendRequest } from '../../../store/approvalRequests'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quote } from '../../../store/quotes'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { RunningTotal } from '../../components/Totals'
import { enterCustomerMode } from '../../customerMode'
import { ApprovalRequests } from '../../features/approval/ApprovalRequests'
import { QuotePage } from '../../features/quotes/QuotePage'
import { calculateQuote } from '../../features/quotes/quoteCalculation'
import { totalName } from '../../features/quotes/TotalsTable'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'

const t = en.asking.send

export function SendRequest({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'offered' ? (
    <SendForm row={row} />
  ) : (
    <NotFound {...(row && { back: { at: 'quote', id } })} />
  )
}

/** Asks the customer about an offered quote: one button per channel. */
function SendForm({ row }: { row: Quote }) {
  const customerRow = customer(job(row.job_id)?.customer_id ?? '')
  const ask = ({ channel, address }: ContactAddress) =>
    sendRequest({ quote_id: row.id, channel, address, name: customerRow?.name ?? '' })
  const form = useForm<{ to: string }, string>({
    name: `asked:${row.id}`,
    blank: { to: '' },
    check: ({ to }) => ({ to: parseContactAddress(to) === null && t.badAddress }),
    save: ({ to }) => {
      const way = parseContactAddress(to)
      return way && ask(way)
    },
    back: { at: 'quote', id: row.id },
    next: (id) => ({ at: 'request', id }),
    saved: t.asked,
  })
  const { sums } = calculateQuote(row)
  const key = (way: ContactAddress, words: string, hint: string) => (
    <Button wide label={words} hint={hint} onPress={() => form.saveUnchecked(() => ask(way))} />
  )
  return (
    <QuotePage
      row={row}
      title={t.title}
      dock={
        <>
          {sums && <RunningTotal name={totalName(sums)} amount={format.value.money(sums.total_minor)} />}
          <PrimaryButton
            label={t.onPhone}
            hint={t.onPhoneHint}
            onPress={() => enterCustomerMode('quote', row.id)}
          />
        </>
      }
    >
      <p>{t.explain}</p>
      <ButtonRow stacked>
        {customerRow?.phone && key({ channel: 'sms', address: customerRow.phone }, t.sms, customerRow.phone)}
        {customerRow?.email &&
          key({ channel: 'email', address: customerRow.email }, t.email, customerRow.email)}
        {key({ channel: 'qr', address: '' }, t.qr, t.qrHint)}
      </ButtonRow>
      <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
        <TextField label={t.other} autocapitalize="off" {...form.field('to')} />
        <ButtonRow stacked>
          <Button wide label={t.toOther} onPress={() => form.submit()} />
        </ButtonRow>
      </Form>
      <ApprovalRequests quoteId={row.id} />
    </QuotePage>
  )
}

interface ContactAddress {
  channel: LinkChannel
  address: string
}

/** The typed text as an email address or phone number; null: neither. */
function parseContactAddress(typed: string): ContactAddress | null {
  const address = typed.trim()
  const digits = address.replace(/\D/g, '').length
  if (/^[^@\s]+@[^@\s]+\.[^@\s]+$/.test(address)) return { channel: 'email', address }
  return !address.includes('@') && digits >= 7 && digits <= 15 ? { channel: 'sms', address } : null
}
