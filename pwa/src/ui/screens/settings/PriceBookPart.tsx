import type { ShopPrices } from '../../../domain/quotes/book'
import { en } from '../../../domain/words'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { format, today } from '../../shopFormat'
import type { FormState } from '../../useForm'
import { ExampleBill } from './ExampleBill'
import { withNewEntry, withoutLast } from './priceBookEntries'
import {
  chosenAt,
  optionAt,
  type PriceSection,
  type PricesFormFields,
  typedAt,
  typedOutside,
  valueAt,
  withAt,
} from './priceFields'
import { TaxShapes } from './TaxShapes'

const t = en.prices

interface Props {
  part: PriceSection
  form: FormState<PricesFormFields>
  /** The price book with what was typed; null while something typed is wrong. */
  whole: ShopPrices | null
}

/** One section of the price book: its fields, its options, and the buttons that add and remove entries. */
export function PriceBookPart({ part, form, whole }: Props) {
  const { fields, update, errors } = form
  const { prices, typed } = fields
  const textAt = (path: string) => typed[path] ?? String(valueAt(prices, path) ?? '')
  return (
    <>
      <Section title={part.title}>
        {part.profile !== undefined && <TaxShapes at={part.profile} form={form} />}
        {part.fields.map((field) => (
          <TextField
            key={field.path}
            label={field.label}
            hint={field.hint}
            multiline={field.as === 'long'}
            decimal={!['words', 'long', 'day', 'maybe-day'].includes(field.as)}
            type={field.as.endsWith('day') ? 'date' : 'text'}
            value={typed[field.path] ?? typedAt(prices, field, format.value)}
            error={errors[field.path]}
            onValueChange={(text) => update({ typed: { ...typed, [field.path]: text } })}
          />
        ))}
        {part.fields.some(({ path }) => path === 'terms') && !textAt('terms') && (
          <>
            <p class="hint">{t.termsHint}</p>
            <Button
              wide
              label={t.termsShape}
              onPress={() => update({ typed: { ...typed, terms: t.termsExample } })}
            />
          </>
        )}
        {part.choices?.map((choice) => (
          <RadioGroup
            key={choice.path}
            horizontal={choice.options.length === 2}
            label={choice.label}
            value={optionAt(prices, choice)?.value ?? null}
            options={choice.options}
            error={errors[choice.path]}
            onValueChange={(value) =>
              update({ prices: withAt(prices, choice.path, chosenAt(choice, value)) })
            }
          />
        ))}
        {part.checks && <Checks checks={part.checks} form={form} />}
        <Entries part={part} form={form} />
      </Section>
      {part.profile !== undefined && (
        <ExampleBill title={part.bill ?? t.bill} prices={whole} at={part.profile} />
      )}
    </>
  )
}

/** What is true or false in the price book, side by side. */
function Checks({ checks, form }: { checks: NonNullable<PriceSection['checks']>; form: Props['form'] }) {
  const { prices } = form.fields
  const paths = checks.options.map(({ value }) => value)
  return (
    <CheckboxGroup
      horizontal
      {...checks}
      values={paths.filter((path) => valueAt(prices, path))}
      onValuesChange={(on) =>
        form.update({
          prices: paths.reduce((now, path) => withAt(now, path, on.includes(path)), prices),
        })
      }
    />
  )
}

/** The buttons that add an entry to a list, and remove its last one. */
function Entries({ part: { adds = [], drops }, form: { fields, update } }: Omit<Props, 'whole'>) {
  const { prices, typed } = fields
  if (!adds.length && !drops) return null
  return (
    <ButtonRow stacked>
      {adds.map((path) => (
        <Button
          key={path}
          wide
          label={labelAt(t.adds, path)}
          onPress={() => update({ prices: withNewEntry(prices, path, today()) })}
        />
      ))}
      {drops && (
        <Button
          wide
          label={labelAt(t.drops, drops)}
          onPress={() => {
            const last = (valueAt(prices, drops) as readonly unknown[]).length - 1
            update({ prices: withoutLast(prices, drops), typed: typedOutside(typed, `${drops}.${last}.`) })
          }}
        />
      )}
    </ButtonRow>
  )
}

const labelAt = (labels: Readonly<Record<string, string>>, path: string) =>
  labels[path.split('.').at(-1) ?? '']
