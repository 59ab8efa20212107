import { en } from '../../../domain/words'
import { Button, ButtonRow } from '../../components/Button'
import type { FormState } from '../../useForm'
import { TAX_SHAPES, type TaxShape, withTaxShape } from './priceBookEntries'
import { type PricesFormFields, typedOutside } from './priceFields'

const t = en.prices

/** What may be taxed, to start from: offered while the profile has no rate. */
export function TaxShapes({
  at,
  form: { fields, update },
}: {
  at: number
  form: FormState<PricesFormFields>
}) {
  const { prices, typed } = fields
  if (prices.tax_profiles[at]?.rates.length) return null
  return (
    <>
      <h3>{t.shape}</h3>
      <p class="hint">{t.shapeHint}</p>
      <ButtonRow stacked>
        {(Object.keys(TAX_SHAPES) as TaxShape[]).map((shape) => (
          <Button
            key={shape}
            wide
            label={t.shapes[shape]}
            onPress={() => {
              const path = `tax_profiles.${at}.`
              // The rates are left to be typed: an example names none.
              const open = TAX_SHAPES[shape].rates.map((_, rate) => [`${path}rates.${rate}.percent`, ''])
              update({
                prices: withTaxShape(prices, at, shape),
                typed: { ...typedOutside(typed, path), ...Object.fromEntries(open) },
              })
            }}
          />
        ))}
      </ButtonRow>
    </>
  )
}
