import { PRICE_PARTS, type PriceBook, type PricePart } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { editPriceBook, priceBook } from '../../../store/priceBook'
import { permissions } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { DescriptionList, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { parseRoute } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { PriceBookPart } from './PriceBookPart'
import { optionAt, type PricesFormFields, parsePriceBook, partsOf, typedAt } from './priceFields'

const t = en.prices

/** What the shop charges: for its owner to change, whole or one part of it, for the others to read. */
export function Prices(props: { of?: string; from?: string }) {
  const row = priceBook.value
  if (!row) return <NotFound />
  return permissions.value.has('edit_shop') ? (
    <EditPrices row={row} {...props} />
  ) : (
    <ReadOnlyPrices row={row} />
  )
}

function ReadOnlyPrices({ row }: { row: PriceBook }) {
  const read = format.value
  return (
    <ShopPage overline={shop.value?.name ?? ''} title={t.title}>
      <p class="multiline">{t.onlyOwner}</p>
      {partsOf(row.prices, read).map(({ title, fields, choices = [] }, at) => (
        <Section key={at} title={title}>
          <DescriptionList
            items={[
              ...fields.map((field) => [field.label, typedAt(row.prices, field, read)] as const),
              ...choices.map((one) => [one.label, optionAt(row.prices, one)?.label ?? ''] as const),
            ]}
          />
        </Section>
      ))}
    </ShopPage>
  )
}

/**
 * @param of the parts of the price book that are shown and confirmed by saving; without it all are
 * @param from the address of the screen that wants them confirmed, to go back to
 */
function EditPrices({ row, of, from }: { row: PriceBook; of?: string; from?: string }) {
  const asked = PRICE_PARTS.filter((part) => !of || of.split(',').includes(part))
  const back = from ? parseRoute(new URL(from, location.href)) : undefined
  const seen = useOriginal(`prices:${row.id}`, row)
  const form = useForm<PricesFormFields>({
    name: `prices:${row.id}`,
    blank: { prices: row.prices, typed: {} },
    check: (fields) => parsePriceBook(fields, format.value).faults,
    save: (fields) => editPriceBook(seen, parsePriceBook(fields, format.value).whole, asked),
    ...(back && { back }),
    saved: t.saved,
  })
  const parts = partsOf(form.fields.prices, format.value).filter(
    (part) => !of || (part.of && asked.includes(part.of)),
  )
  const shown = new Set(
    parts.flatMap(({ fields, choices = [] }) => [...fields, ...choices].map(({ path }) => path)),
  )
  const now = parsePriceBook(form.fields, format.value)
  return (
    <FormPage
      form={form}
      overline={shop.value?.name ?? ''}
      title={from && asked.length > 1 ? t.confirmTitle : titleOf(asked)}
      saveLabel={from ? t.confirm : t.save}
    >
      {from && <p class="multiline">{t.confirmHint}</p>}
      {!of && <p class="multiline">{t.onlyOwner}</p>}
      {asked.includes('tax_profiles') && <p class="hint">{t.checkLocal}</p>}
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

function titleOf(asked: readonly PricePart[]): string {
  if (asked.length === PRICE_PARTS.length) return t.title
  return asked.length === 1 && asked[0] ? t.parts[asked[0]] : t.confirmTitle
}
