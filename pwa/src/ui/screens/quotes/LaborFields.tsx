import type { ComponentChildren } from 'preact'
import type { LineKind } from '../../../domain/contract'
import type { ShopPrices } from '../../../domain/quotes/book'
import { en } from '../../../domain/words'
import { SelectField, TextField } from '../../components/Field'
import { NumberStepper } from '../../components/NumberStepper'
import { stepNumber } from '../../features/quotes/stepNumber'
import { format } from '../../shopFormat'
import { type FormPart, fieldBinder } from '../../useForm'
import type { LineFormFields } from './lineFormFields'

const t = en.quote.line

export interface LineProps extends FormPart<LineFormFields> {
  kind: LineKind
  book: ShopPrices
  /** The price of one unit, as far as typed. */
  unitPrice: number | null
  /** Shown below the hours. */
  underHours?: ComponentChildren
}

/** A fixed price. */
export function PriceField({ label, ...part }: LineProps & { label: string }) {
  return <TextField decimal label={label} {...fieldBinder(part)('price')} />
}

/** Hours of labor at the usual rate or another; or its price, where More says that it has one. */
export function LaborFields(props: LineProps) {
  const { fields, update, book } = props
  const field = fieldBinder(props)
  const rates = book.labor_rates.map(
    (rate) => [rate.key, `${rate.label}, ${t.perHour(format.value.money(rate.minor_per_hour))}`] as const,
  )
  return (
    <>
      {fields.priced === 'set' ? (
        <PriceField {...props} label={t.price} />
      ) : (
        <>
          <NumberStepper
            label={t.hours}
            decreaseLabel={t.fewerHours}
            increaseLabel={t.moreHours}
            onStep={(direction) =>
              update({ hours: stepNumber(fields.hours, 0.25 * direction, format.value) })
            }
            {...field('hours')}
          />
          {props.underHours}
          {rates.length > 1 && (
            <SelectField label={t.rate} options={[['', t.usualRate], ...rates]} {...field('rateKey')} />
          )}
        </>
      )}
    </>
  )
}
