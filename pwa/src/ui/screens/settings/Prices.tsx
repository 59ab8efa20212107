import type { PriceBook } from '../../../domain/contract'
import type { ShopPrices } from '../../../domain/quotes/book'
import { checkBook } from '../../../domain/quotes/checks'
import { en } from '../../../domain/words'
import { editPriceBook, priceBook } from '../../../store/priceBook'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution, DescriptionList, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'
import { withNewEntry } from './priceBookEntries'
import { type PricePart, partsOf, readAt, typedAt, valueAt, withAt } from './priceFields'

const t = en.prices

/** What the shop charges: for its owner to change, for the others to read. */
export function Prices() {
  const row = priceBook.value
  if (!row) return <NotFound />
  return permissions.value.has('edit_shop') ? <EditPrices row={row} /> : <ReadOnlyPrices row={row} />
}

function ReadOnlyPrices({ row }: { row: PriceBook }) {
  const read = format.value
  return (
    <ShopPage overline={shop.value?.name ?? ''} title={t.title}>
      <p class="multiline">{t.onlyOwner}</p>
      {partsOf(row.prices, read).map(({ title, fields }, at) => (
        <Section key={at} title={title}>
          <DescriptionList
            items={fields.map((field) => [field.label, typedAt(row.prices, field, read)] as const)}
          />
        </Section>
      ))}
    </ShopPage>
  )
}

interface PricesFormFields {
  prices: ShopPrices
  typed: Record<string, string>
}

function EditPrices({ row }: { row: PriceBook }) {
  const seen = useOriginal(`prices:${row.id}`, row)
  const form = useForm<PricesFormFields>({
    name: `prices:${row.id}`,
    blank: { prices: row.prices, typed: {} },
    check: (fields) => parsePriceBook(fields).faults,
    save: (fields) => editPriceBook(seen, parsePriceBook(fields).whole),
    saved: t.saved,
  })
  const parts = partsOf(form.fields.prices, format.value)
  const shown = new Set(parts.flatMap((part) => part.fields.map(({ path }) => path)))
  return (
    <FormPage form={form} overline={shop.value?.name ?? ''} title={t.title} saveLabel={t.save}>
      <p class="multiline">{t.onlyOwner}</p>
      <Caution text={t.checkLocal} />
      {Object.entries(form.errors)
        .filter(([path]) => !shown.has(path))
        .map(([path, words]) => (
          <p class="field-error" role="alert" key={path}>
            {words}
          </p>
        ))}
      {parts.map((part, at) => (
        <BookPart key={at} part={part} form={form} />
      ))}
    </FormPage>
  )
}

/** One section of the price book: its fields, its options, and the button that adds an entry. */
function BookPart({ part, form }: { part: PricePart; form: FormState<PricesFormFields> }) {
  const { fields, update, errors } = form
  const { prices, typed } = fields
  return (
    <Section title={part.title}>
      {part.fields.map((field) => (
        <TextField
          key={field.path}
          label={field.label}
          multiline={field.as === 'long'}
          decimal={!['words', 'long', 'day', 'maybe-day'].includes(field.as)}
          type={field.as.endsWith('day') ? 'date' : 'text'}
          value={typed[field.path] ?? typedAt(prices, field, format.value)}
          error={errors[field.path]}
          onValueChange={(text) => update({ typed: { ...typed, [field.path]: text } })}
        />
      ))}
      {part.choices?.map(({ path, label, options, unsaid }) => (
        <RadioGroup
          key={path}
          label={label}
          value={String(valueAt(prices, path) ?? unsaid)}
          options={options}
          onValueChange={(value) => update({ prices: withAt(prices, path, chosen(value)) })}
        />
      ))}
      {part.adds && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.adds[part.adds]}
            onPress={() => update({ prices: withNewEntry(prices, part.adds ?? 'rate', today()) })}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

function chosen(value: string): string | boolean {
  return value === 'true' || (value === 'false' ? false : value)
}

/** The price book with what was typed, and the errors by path. */
function parsePriceBook({ prices, typed }: PricesFormFields): {
  whole: ShopPrices
  faults: Record<string, string>
} {
  const faults: Record<string, string> = {}
  let whole = prices
  for (const { path, as } of partsOf(prices, format.value).flatMap((part) => part.fields)) {
    const text = typed[path]
    if (text === undefined) continue
    const value = readAt(text, as, format.value)
    if (value === undefined)
      faults[path] = as.endsWith('money') ? en.quote.line.missingMoney : en.quote.line.missingNumber
    else whole = withAt(whole, path, value)
  }
  return { whole, faults: Object.keys(faults).length ? faults : byPath(checkBook(whole)) }
}

function byPath(faults: readonly { field: string; words: string }[]): Record<string, string> {
  return Object.fromEntries(faults.map(({ field, words }) => [field, words]))
}
