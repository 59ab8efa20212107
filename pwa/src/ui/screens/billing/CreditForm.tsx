import { creditFaults, type Taken, wholeOf } from '../../../domain/billing/creditNotes'
import type { Invoice, InvoiceLine } from '../../../domain/contract'
import { isDecimal, plainDecimal } from '../../../domain/numbers/decimal'
import { shownName } from '../../../domain/provisionalMarks'
import { creditForm as t } from '../../../domain/words/invoices'
import { creditedBy, creditInvoice, invoice, leftToCredit } from '../../../store/invoices'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { RunningTotal } from '../../components/Totals'
import { FormPage } from '../../FormPage'
import { calculateInvoice } from '../../features/billing/invoiceText'
import { linePriceText } from '../../features/quotes/TotalsTable'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'

interface Fields {
  what: 'all' | 'some'
  ids: string[]
  /** How many of a line, as typed, by its id. */
  counts: Record<string, string>
  note: string
}

const WHAT = (['all', 'some'] as const).map((value) => ({ value, label: t[value] }))

/** What of an issued invoice is credited: all of it, or some lines, of some of them a part. */
export function CreditForm({ id }: { id: string }) {
  const row = invoice(id)
  return row?.kind === 'invoice' && row.state === 'issued' ? <Choose row={row} /> : <NotFound />
}

function Choose({ row }: { row: Invoice }) {
  const { lines, shown } = calculateInvoice(row)
  const form = useForm<Fields, string>({
    name: `credit:${row.id}`,
    blank: { what: 'all', ids: [], counts: {}, note: '' },
    check: (fields) => errorsOf(row, lines, fields),
    save: (fields) => creditInvoice(row, takenOf(lines, fields), fields.note.trim()),
    back: { at: 'invoice', id: row.id },
    next: (id) => ({ at: 'invoice', id }),
    saved: t.made,
  })
  const { fields, field, update, errors } = form
  const options = lines.map((line) => {
    const priced = shown.find(({ id }) => id === line.id)
    return { value: line.id, label: line.words, ...(priced && { hint: linePriceText(priced) }) }
  })
  const counted = fields.what === 'some' ? lines.filter((line) => isCounted(line, fields)) : []
  return (
    <FormPage
      form={form}
      overline={shownName(row)}
      title={t.title}
      saveLabel={t.save}
      saveHint={t.saveHint}
      dockTop={<Total row={row} lines={lines} fields={fields} />}
    >
      <RadioGroup label={t.what} options={WHAT} {...field('what')} />
      {fields.what === 'some' && (
        <CheckboxGroup
          label={t.lines}
          values={fields.ids}
          options={options}
          onValuesChange={(ids) => update({ ids })}
          error={errors['lines']}
        />
      )}
      {counted.map((line) => (
        <TextField
          key={line.id}
          label={t.count(format.value.number(wholeOf(line) ?? '1'), line.words)}
          hint={t.countHint}
          value={fields.counts[line.id] ?? ''}
          error={errors[line.id]}
          onValueChange={(typed) => update({ counts: { ...fields.counts, [line.id]: typed } })}
        />
      ))}
      <TextField multiline label={t.note} {...field('note')} />
    </FormPage>
  )
}

/** A chosen line of which some may be credited and others not. */
const isCounted = (line: InvoiceLine, { ids }: Fields) => {
  const whole = wholeOf(line)
  return ids.includes(line.id) && whole !== null && whole !== '1'
}

/** The number that was typed as plain text: null for nothing, undefined where none can be read. */
function readCount(typed: string | undefined): string | null | undefined {
  if (!typed?.trim()) return null
  const decimal = format.value.readNumber(typed)
  return decimal !== null && isDecimal(decimal) ? plainDecimal(decimal) : undefined
}

/** What is credited of which line; what cannot be read counts as all, and is refused by `errorsOf`. */
function takenOf(lines: readonly InvoiceLine[], fields: Fields): Taken {
  if (fields.what === 'all') return new Map(lines.map(({ id }) => [id, null]))
  const chosen = lines.filter(({ id }) => fields.ids.includes(id))
  return new Map(
    chosen.map((line) => [
      line.id,
      isCounted(line, fields) ? (readCount(fields.counts[line.id]) ?? null) : null,
    ]),
  )
}

function errorsOf(row: Invoice, lines: readonly InvoiceLine[], fields: Fields) {
  const taken = takenOf(lines, fields)
  const unread = lines.filter(
    (line) =>
      fields.what === 'some' && isCounted(line, fields) && readCount(fields.counts[line.id]) === undefined,
  )
  const wrong = [...unread.map(({ id }) => id), ...creditFaults(lines, taken).map(({ id }) => id)]
  const found = Object.fromEntries(wrong.map((id) => [id, t.badCount]))
  if (!taken.size) return { lines: t.none }
  if (wrong.length) return found
  const { total_minor } = creditedBy(row, taken)
  if (total_minor <= 0) return { what: t.nothing }
  const left = leftToCredit(row)
  return total_minor > left ? { what: t.tooMuch(format.value.money(left)) } : {}
}

function Total({ row, lines, fields }: { row: Invoice; lines: readonly InvoiceLine[]; fields: Fields }) {
  const taken = takenOf(lines, fields)
  if (!taken.size || creditFaults(lines, taken).length) return null
  return <RunningTotal name={t.total} amount={format.value.money(creditedBy(row, taken).total_minor)} />
}
