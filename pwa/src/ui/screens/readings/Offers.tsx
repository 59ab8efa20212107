import { isSameThing } from '../../../domain/bench/readings'
import type { Job } from '../../../domain/contract'
import { limitSnapshot } from '../../../domain/machines/limits'
import { measure as t } from '../../../domain/words/readings'
import { knownMachines, machine } from '../../../store/machines'
import { limitsForMachine, readingsOfMachine } from '../../../store/readings'
import { Button, ButtonRow } from '../../components/Button'
import { More } from '../../components/More'
import { Section } from '../../components/Section'
import { BLANK_READING, fieldsOfReading, limitFields, type ReadingFormFields } from './readingFields'
import { limitText } from './readingText'

const MOST = 8
/** How many are shown at once: the fields follow on the first screenful. */
const AT_ONCE = 3

interface Offer {
  key: string
  what: string
  place: string
  unit: string
  hint: string
  fields: ReadingFormFields
}

/** What is known of this machine: what was measured before, then limits of the sheets. One press takes all but the value. */
export function Offers({ row, onTake }: { row: Job; onTake: (fields: Partial<ReadingFormFields>) => void }) {
  const found = offersFor(row)
  if (!found.length) return null
  const rest = found.slice(AT_ONCE)
  const buttons = (offers: readonly Offer[]) => (
    <ButtonRow stacked>
      {offers.map(({ key, what, place, hint, fields }) => (
        <Button key={key} wide label={nameOf(what, place)} hint={hint} onPress={() => onTake(fields)} />
      ))}
    </ButtonRow>
  )
  return (
    <Section title={t.known}>
      {buttons(found.slice(0, AT_ONCE))}
      {rest.length > 0 && (
        <More label={t.knownMore} names={rest.map(({ what }) => what).join(', ')} invalid={false}>
          {buttons(rest)}
        </More>
      )}
    </Section>
  )
}

const nameOf = (...parts: string[]) => parts.filter(Boolean).join(', ')

/** Readings of this machine, then of others of its make and model, then limits of sheets; each thing once. */
function offersFor({ machine_id }: Job): Offer[] {
  const own = machine(machine_id)
  const alike = knownMachines().filter(
    ({ id, make, model }) =>
      id !== machine_id && own && model !== '' && make === own.make && model === own.model,
  )
  const readings = [machine_id, ...alike.map(({ id }) => id)].flatMap((id) => readingsOfMachine(id).reverse())
  const offers: Offer[] = []
  const add = (offer: Offer) => {
    if (!offers.some((other) => isSameThing(other, offer))) offers.push(offer)
  }
  for (const each of readings) {
    const { id: key, what, place, unit } = each
    add({ key, what, place, unit, hint: limitText(each), fields: fieldsOfReading(each) })
  }
  for (const limit of own ? limitsForMachine(own) : []) {
    const snapshot = limitSnapshot(limit)
    const { what, unit } = limit
    const fields = { ...BLANK_READING, what, unit, ...limitFields(snapshot) }
    add({ key: limit.id, what, place: '', unit, hint: limitText({ limit: snapshot }), fields })
  }
  return offers.slice(0, MOST)
}
