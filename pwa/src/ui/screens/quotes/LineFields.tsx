import { en } from '../../../domain/words'
import { permissions } from '../../../store/session/session'
import { TextField } from '../../components/Field'
import { NumberStepper } from '../../components/NumberStepper'
import { RadioGroup } from '../../components/RadioGroup'
import { stepNumber } from '../../features/quotes/stepNumber'
import { format } from '../../shopFormat'
import { fieldBinder } from '../../useForm'
import { LaborFields, type LineProps, PriceField } from './LaborFields'

const t = en.quote.line

/** The price fields of a line of this kind. */
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
      return null
  }
}

function PartFields(props: LineProps) {
  const { fields, update, book, unitPrice } = props
  const field = fieldBinder(props)
  return (
    <>
      <NumberStepper
        label={t.quantity}
        decreaseLabel={t.fewer}
        increaseLabel={t.more}
        onStep={(direction) => update({ quantity: stepNumber(fields.quantity, direction, format.value) })}
        {...field('quantity')}
      />
      {permissions.value.has('see_cost') && book.part_bands.length > 0 && (
        <RadioGroup
          horizontal
          label={t.priced}
          options={[
            { value: 'cost', label: t.priceFromCost },
            { value: 'set', label: t.priceSet },
          ]}
          {...field('priced')}
        />
      )}
      {fields.priced === 'cost' ? (
        <TextField
          decimal
          label={t.unitCost}
          hint={unitPrice === null ? undefined : t.givesPrice(format.value.money(unitPrice))}
          {...field('unitCost')}
        />
      ) : (
        <PriceField {...props} label={t.unitPrice} />
      )}
      <TextField decimal label={t.core} {...field('core')} />
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
  const { fields, update, book } = props
  return (
    <>
      <RadioGroup
        label={t.whichFee}
        value={fields.priced}
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
