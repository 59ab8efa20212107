import type { Invoice, InvoiceLine, LineKind, Stop } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { invoiceLineForm as t } from '../../../domain/words/invoices'
import { stop } from '../../../store/dispatch'
import { invoice, invoiceLine, removeInvoiceLine } from '../../../store/invoices'
import { job } from '../../../store/jobs'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { tripWords } from '../../features/billing/billedExtras'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'
import { InvoiceLineMore } from './InvoiceLineMore'
import {
  type Fields,
  faultsOfLine,
  isByOne,
  isCounted,
  type MoreOfLine,
  mayBeTogether,
  newLine,
  saveLine,
  travelOf,
  typedLine,
} from './invoiceLineFields'

const ADDED: readonly LineKind[] = ['labor', 'part', 'fee', 'travel', 'supplies']

const PRICED = [
  { value: 'each', label: t.each },
  { value: 'together', label: t.together },
] as const

/** A new line of a draft; of a trip that was driven where a stop is named. */
export function AddInvoiceLine({ id, stopId = '' }: { id: string; stopId?: string }) {
  const row = invoice(id)
  const driven = stop(stopId)
  return row?.state === 'draft' ? <LineForm row={row} seen={null} driven={driven ?? null} /> : <NotFound />
}

export function ChangeInvoiceLine({ id, lineId }: { id: string; lineId: string }) {
  const row = invoice(id)
  const seen = useOriginal(`invoice-line:${lineId}`, invoiceLine(lineId))
  return row?.state === 'draft' && seen ? <LineForm row={row} seen={seen} driven={null} /> : <NotFound />
}

interface Props {
  row: Invoice
  seen: InvoiceLine | null
  driven: Stop | null
}

/** One line of a draft: what it is for, how much of it, its price. */
function LineForm({ row, seen, driven }: Props) {
  const about = driven?.job_id ? job(driven.job_id) : undefined
  const trip = driven && about ? { stop: driven, words: tripWords(about, driven) } : null
  const form = useForm<Fields>({
    name: `invoice-line:${seen?.id ?? driven?.id ?? row.id}`,
    blank: seen ? typedLine(seen) : newLine(trip),
    check: (fields) => faultsOfLine(fields, row, seen),
    save: (fields) => saveLine(row, seen, driven, fields),
    back: { at: 'invoice', id: row.id },
    saved: t.saved,
  })
  const { fields, field } = form
  const kinds = ADDED.map((value) => ({ value, label: en.quote.kinds[value] }))
  const { kind } = fields
  const hint = kind === 'labor' ? t.fixedHint : kind === 'travel' ? t.fixedTravelHint : undefined
  return (
    <FormPage form={form} title={seen ? t.editTitle : t.addTitle} saveLabel={t.save}>
      {!seen && !driven && <RadioGroup label={t.kind} options={kinds} {...field('kind')} />}
      <TextField multiline label={t.words} {...field('words')} />
      {isCounted(kind) && <TextField label={t.quantity} hint={t.quantityHint} {...field('quantity')} />}
      {kind === 'labor' && <TextField label={t.hours} {...field('quantity')} />}
      {mayBeTogether(kind) && (
        <RadioGroup horizontal label={t.priced} options={PRICED} {...field('priced')} />
      )}
      <Travel row={row} form={form} />
      <TextField
        decimal
        label={isByOne(fields) ? t.price : t.fixed}
        {...(hint && { hint })}
        {...field('price')}
      />
      {kind !== 'discount' && <InvoiceLineMore form={form as unknown as FormState<MoreOfLine>} />}
      {seen && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.remove}
            onPress={() =>
              void form.remove({
                action: async () => {
                  await removeInvoiceLine(seen.id)
                  return undefined
                },
                text: t.removed,
              })
            }
          />
        </ButtonRow>
      )}
    </FormPage>
  )
}

/** How far a trip went, or into which zone, by the price book of the invoice. */
function Travel({ row, form }: { row: Invoice; form: FormState<Fields> }) {
  const { mode, unit, zones } = row.basis.travel
  if (!travelOf(row, form.fields.kind)) return null
  if (mode === 'distance')
    return (
      <TextField
        decimal
        label={en.quote.line.distance(en.quote.line.unit[unit])}
        {...form.field('quantity')}
      />
    )
  const options = zones.map(({ key, label }) => ({ value: key, label }))
  return <RadioGroup label={t.zone} options={options} {...form.field('zone')} />
}
