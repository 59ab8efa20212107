import type { PriceBook } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { editPriceBook, priceBook } from '../../../store/priceBook'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { DescriptionList, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { PriceBookPart } from './PriceBookPart'
import { type PartOfPrices, type PricesFormFields, parsePriceBook, partsOf, typedAt } from './priceFields'

const t = en.prices

/** What the shop charges: for its owner to change, whole or one part of it, for the others to read. */
export function Prices({ of }: { of?: string }) {
  const row = priceBook.value
  if (!row) return <NotFound />
  return permissions.value.has('edit_shop') ? <EditPrices row={row} of={of} /> : <ReadOnlyPrices row={row} />
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

function EditPrices({ row, of }: { row: PriceBook; of: string | undefined }) {
  const seen = useOriginal(`prices:${row.id}`, row)
  const form = useForm<PricesFormFields>({
    name: `prices:${row.id}`,
    blank: { prices: row.prices, typed: {} },
    check: (fields) => parsePriceBook(fields, format.value).faults,
    save: (fields) => editPriceBook(seen, parsePriceBook(fields, format.value).whole),
    saved: t.saved,
  })
  const parts = partsOf(form.fields.prices, format.value).filter((part) => !of || part.of === of)
  const shown = new Set(parts.flatMap((part) => part.fields.map(({ path }) => path)))
  const now = parsePriceBook(form.fields, format.value)
  return (
    <FormPage
      form={form}
      overline={shop.value?.name ?? ''}
      title={(of && t.parts[of as PartOfPrices]) || t.title}
      saveLabel={t.save}
    >
      {!of && <p class="multiline">{t.onlyOwner}</p>}
      {(!of || of === 'tax_profiles') && <p class="hint">{t.checkLocal}</p>}
      {Object.entries(form.errors)
        .filter(([path]) => !shown.has(path))
        .map(([path, words]) => (
          <p class="field-error" role="alert" key={path}>
            {words}
          </p>
        ))}
      {parts.map((part, at) => (
        <PriceBookPart
          key={at}
          part={part}
          form={form}
          whole={Object.keys(now.faults).length ? null : now.whole}
        />
      ))}
    </FormPage>
  )
}
