import { en } from '../../../domain/words'
import { TextField } from '../../components/Field'
import { NumberStepper } from '../../components/NumberStepper'
import { RadioGroup } from '../../components/RadioGroup'
import { stepNumber } from '../../features/quotes/stepNumber'
import { format } from '../../shopFormat'
import { fieldBinder } from '../../useForm'
import { DiscountFields } from './DiscountFields'
import { LaborFields, type LineProps, PriceField } from './LaborFields'

const t = en.quote.line

/** The figures that a line of this kind needs. */
export function LineFields(props: LineProps) {
  switch (props.kind) {
    case 'labor':
      return <LaborFields {...props} />
    case 'part':
      return <PartFields {...props} />
    case 'travel':
      return <TravelFields {...props} />
    case 'fee':
      return <FeeFields {...props} />
    case 'supplies':
      return <PriceField {...props} label={t.amount} />
    case 'discount':
      return <DiscountFields {...props} />
  }
}

/** How many, and the price of one: typed, or computed from the cost that is entered under More. */
function PartFields(props: LineProps) {
  const { fields, errors, update, unitPrice } = props
  const { money, readMoney, typedMoney } = format.value
  const fromCost = fields.priced === 'cost'
  const cost = fromCost ? readMoney(fields.unitCost) : null
  return (
    <>
      <div class="part-fields">
        <NumberStepper
          label={t.quantity}
          decreaseLabel={t.fewer}
          increaseLabel={t.oneMore}
          onStep={(direction) => update({ quantity: stepNumber(fields.quantity, direction, format.value) })}
          {...fieldBinder(props)('quantity')}
        />
        <TextField
          decimal
          label={t.unitPrice}
          value={fromCost ? typedMoney(unitPrice) : fields.price}
          error={fromCost ? undefined : errors['price']}
          onValueChange={(price) => update({ price, priced: 'set' })}
        />
      </div>
      {cost !== null && unitPrice !== null && <p class="hint">{t.fromCost(money(cost))}</p>}
    </>
  )
}

function TravelFields(props: LineProps) {
  const { travel } = props.book
  const field = fieldBinder(props)
  if (travel.mode !== 'zone')
    return <TextField decimal label={t.distance(t.unit[travel.unit])} {...field('distance')} />
  const options = travel.zones.map(({ key, label, minor }) => ({
    value: key,
    label: label,
    hint: format.value.money(minor),
  }))
  return <RadioGroup label={t.zone} options={options} {...field('zoneKey')} />
}

function FeeFields(props: LineProps) {
  const { fields, errors, update, book } = props
  return (
    <>
      <RadioGroup
        label={t.whichFee}
        value={fields.priced}
        error={errors['priced']}
        options={[
          { value: 'set', label: t.otherFee },
          {
            value: 'book',
            label: t.diagnosisFee,
            hint: format.value.money(book.diagnosis_fee_minor),
          },
        ]}
        onValueChange={(priced) =>
          update({ priced, ...(priced === 'book' && !fields.words && { words: en.quote.kinds.diagnosis }) })
        }
      />
      {fields.priced === 'set' && <PriceField {...props} label={t.amount} />}
    </>
  )
}
