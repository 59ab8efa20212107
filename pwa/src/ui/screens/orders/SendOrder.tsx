import { useEffect, useState } from 'preact/hooks'
import type { OrderBy, PartOrder, Supplier } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { mailLink } from '../../../domain/notices/mailLink'
import { linesText } from '../../../domain/parts/orderText'
import { shownName } from '../../../domain/provisionalMarks'
import { orderedBy, sending as t } from '../../../domain/words/partOrders'
import { readChannels } from '../../../store/notices'
import { linesOfOrder, mailOrder, noteOrderSent, partOrder } from '../../../store/partOrders'
import { shop } from '../../../store/shop'
import { editSupplier, supplier } from '../../../store/suppliers'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { supplierName } from '../../features/orders/orderText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

/** Whether this server sends mail; null while nobody knows, as with no signal. */
function useMailSetUp(): boolean | null {
  const [isSetUp, setSetUp] = useState<boolean | null>(null)
  useEffect(() => {
    readChannels().then(
      ({ email }) => setSetUp(email),
      () => undefined,
    )
  }, [])
  return isSetUp
}

const WAYS: readonly OrderBy[] = ['mail', 'message', 'phone', 'counter']

/** Sends an order: as a mail from here, or by the phone and marked as sent. */
export function SendOrder({ id }: { id: string }) {
  const row = partOrder(id)
  return row ? <Form row={row} /> : <NotFound />
}

/** Mails an order; the address is kept for the next one where the supplier has none. */
async function mail({ id }: PartOrder, to: Supplier | undefined, address: string): Promise<void> {
  if (to && !to.email) await editSupplier(to, { email: address })
  await mailOrder(id, address)
}

function Form({ row }: { row: PartOrder }) {
  const to = supplier(row.supplier_id)
  const ownMail = useMailSetUp() === false
  const isMailed = (how: OrderBy) => how === 'mail' && !ownMail
  const form = useForm<{ how: OrderBy; address: string }>({
    name: `send-order:${row.id}`,
    blank: { how: to?.order_by ?? 'mail', address: to?.email ?? '' },
    draft: false,
    check: ({ how, address }) => ({
      address: isMailed(how) && !address.includes('@') && t.missingAddress,
    }),
    save: ({ how, address }) => (isMailed(how) ? mail(row, to, address.trim()) : noteOrderSent(row.id, how)),
    back: { at: 'part-order', id: row.id },
    saved: ({ how }) => (isMailed(how) ? t.savedMail : t.saved),
  })
  const { fields, field } = form
  const text = linesText(linesOfOrder(row.id), to?.customer_number ?? '', row.note)
  const byMail = isMailed(fields.how)
  const subject = `${shop.value?.name ?? ''}: ${shownName(row)}`
  return (
    <FormPage
      form={form}
      overline={`${shownName(row)}, ${supplierName(row)}`}
      title={t.title}
      saveLabel={byMail ? t.saveMail : t.save}
      saveHint={byMail ? t.mailHint : undefined}
    >
      <RadioGroup
        label={t.how}
        options={WAYS.map((value) => ({ value, label: orderedBy[value], hint: hintOf(value) }))}
        {...field('how')}
      />
      {byMail && <TextField type="email" label={t.address} {...field('address')} />}
      {ownMail && fields.how === 'mail' && (
        <>
          <p class="multiline">{t.noMail}</p>
          <ButtonRow>
            <Button label={t.openMail} href={mailLink(to?.email ?? '', subject, text)} />
          </ButtonRow>
        </>
      )}
      {to?.phone && (
        <ButtonRow>
          {fields.how === 'message' && (
            <Button label={t.openMessage} href={smsLink(to.phone, `${shownName(row)}\n${text}`)} />
          )}
          {fields.how === 'phone' && <Button label={t.call} href={`tel:${to.phone}`} />}
        </ButtonRow>
      )}
      <Section title={t.text}>
        <p class="multiline">{text}</p>
      </Section>
    </FormPage>
  )

  function hintOf(how: OrderBy): string {
    return how === 'mail' && ownMail ? t.hints.ownMail : t.hints[how]
  }
}
