import type { ComponentChildren } from 'preact'
import type { PriceBook } from '../../../domain/book'
import type { Figures } from '../../../domain/figures'
import type { LineKind } from '../../../domain/lines'
import { en } from '../../../domain/words'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Stepper } from '../../components/Stepper'
import { stepped } from './stepping'
import type { LineFaults, TypedLine } from './typedLine'

const its = en.quote.line

interface Props {
  kind: LineKind
  typed: TypedLine
  faults: LineFaults
  book: PriceBook
  maySeeCost: boolean
  figures: Figures
  /** What one comes to, as far as typed. */
  unitPrice: number | null
  put: (changed: Partial<TypedLine>) => void
  /** What stands under the hours of labor. */
  underHours?: ComponentChildren
}

/** The figures a line of this kind is priced by. */
export function LineFields(props: Props) {
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
      return <PriceField {...props} label={its.amount} />
    case 'discount':
      return null
  }
}

function PriceField({ typed, faults, put, label }: Props & { label: string }) {
  return (
    <Field
      decimal
      label={label}
      value={typed.price}
      wrong={faults.price}
      onValue={(price) => put({ price })}
    />
  )
}

function LaborFields(props: Props) {
  const { typed, faults, book, figures, put } = props
  const rates = book.labor_rates.map(
    (rate) => [rate.key, `${rate.label}, ${its.perHour(figures.money(rate.minor_per_hour))}`] as const,
  )
  return (
    <>
      <Choice
        across
        label={its.priced}
        value={typed.priced}
        options={[
          { value: 'hours', words: its.byHours },
          { value: 'set', words: its.priceSet },
        ]}
        onValue={(priced) => put({ priced })}
      />
      {typed.priced === 'set' ? (
        <PriceField {...props} label={its.price} />
      ) : (
        <>
          <Stepper
            label={its.hours}
            value={typed.hours}
            wrong={faults.hours}
            lessWords={its.fewerHours}
            moreWords={its.moreHours}
            onValue={(hours) => put({ hours })}
            onStep={(direction) => put({ hours: stepped(typed.hours, 0.25 * direction, figures) })}
          />
          {props.underHours}
          {rates.length > 1 && (
            <Select
              label={its.rate}
              value={typed.rateKey}
              options={[['', its.usualRate], ...rates]}
              onValue={(rateKey) => put({ rateKey })}
            />
          )}
        </>
      )}
    </>
  )
}

function PartFields(props: Props) {
  const { typed, faults, book, maySeeCost, figures, unitPrice, put } = props
  return (
    <>
      <Stepper
        label={its.quantity}
        value={typed.quantity}
        wrong={faults.quantity}
        lessWords={its.fewer}
        moreWords={its.more}
        onValue={(quantity) => put({ quantity })}
        onStep={(direction) => put({ quantity: stepped(typed.quantity, direction, figures) })}
      />
      {maySeeCost && book.part_bands.length > 0 && (
        <Choice
          across
          label={its.priced}
          value={typed.priced}
          options={[
            { value: 'cost', words: its.priceFromCost },
            { value: 'set', words: its.priceSet },
          ]}
          onValue={(priced) => put({ priced })}
        />
      )}
      {typed.priced === 'cost' ? (
        <Field
          decimal
          label={its.unitCost}
          hint={unitPrice === null ? undefined : its.givesPrice(figures.money(unitPrice))}
          value={typed.unitCost}
          wrong={faults.unitCost}
          onValue={(unitCost) => put({ unitCost })}
        />
      ) : (
        <PriceField {...props} label={its.unitPrice} />
      )}
      <Field
        decimal
        label={its.core}
        value={typed.core}
        wrong={faults.core}
        onValue={(core) => put({ core })}
      />
    </>
  )
}

function TravelFields({ typed, faults, book, figures, put }: Props) {
  if (book.travel.mode === 'zone')
    return (
      <Choice
        label={its.zone}
        value={typed.zoneKey}
        options={book.travel.zones.map((zone) => ({
          value: zone.key,
          words: zone.label,
          hint: figures.money(zone.minor),
        }))}
        onValue={(zoneKey) => put({ zoneKey })}
      />
    )
  return (
    <Field
      decimal
      label={its.distance(its.unit[book.travel.unit])}
      value={typed.distance}
      wrong={faults.distance}
      onValue={(distance) => put({ distance })}
    />
  )
}

function FeeFields(props: Props) {
  const { typed, book, figures, put } = props
  return (
    <>
      <Choice
        label={its.whichFee}
        value={typed.priced}
        options={[
          { value: 'set', words: its.otherFee },
          { value: 'book', words: its.diagnosisFee, hint: figures.money(book.diagnosis_fee_minor) },
        ]}
        onValue={(priced) =>
          put({ priced, ...(priced === 'book' && !typed.words && { words: en.quote.kinds.diagnosis }) })
        }
      />
      {typed.priced === 'set' && <PriceField {...props} label={its.amount} />}
    </>
  )
}
