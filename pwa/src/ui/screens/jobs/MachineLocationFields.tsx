import { readPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words/index'
import { sitesOf } from '../../../store/customers'
import type { NewIntake as Taken } from '../../../store/jobs'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { PositionField } from '../../features/dispatch/PositionField'

const t = en.newJob.where

/** Where the machine is, as typed; hidden until somebody opens it. */
export interface LocationFormFields {
  open: boolean
  /** A known site of the customer; empty: a new one, typed here. */
  siteId: string
  address: string
  position: string
  access_notes: string
}

export const NO_LOCATION: LocationFormFields = {
  open: false,
  siteId: '',
  address: '',
  position: '',
  access_notes: '',
}

interface Props {
  customerId: string | null
  fields: LocationFormFields
  error: string | undefined
  update: (changed: Partial<LocationFormFields>) => void
}

/** The location for a later pickup; optional. */
export function MachineLocationFields({ customerId, fields, error, update }: Props) {
  const known = customerId ? sitesOf(customerId) : []
  if (!fields.open)
    return (
      <ButtonRow stacked>
        <Button
          wide
          label={t.open}
          hint={known.length > 0 ? t.known(en.app.listed(known.map(({ label }) => label))) : t.hint}
          onPress={() => update({ open: true, siteId: known[0]?.id ?? '' })}
        />
      </ButtonRow>
    )
  const picked = known.find(({ id }) => id === fields.siteId)
  return (
    <Section title={t.title}>
      {known.length > 0 && (
        <RadioGroup
          label={t.which}
          value={picked?.id ?? ''}
          options={[
            ...known.map(({ id, label, address }) => ({ value: id, label: label, hint: address })),
            { value: '', label: t.another },
          ]}
          onValueChange={(siteId) => update({ siteId })}
        />
      )}
      {!picked && (
        <>
          <TextField
            multiline
            label={en.site.fields.address}
            value={fields.address}
            onValueChange={(address) => update({ address })}
          />
          <PositionField
            value={fields.position}
            error={error}
            onValueChange={(position) => update({ position })}
          />
          <TextField
            multiline
            label={en.site.fields.access}
            hint={en.site.fields.accessHint}
            value={fields.access_notes}
            onValueChange={(access_notes) => update({ access_notes })}
          />
        </>
      )}
    </Section>
  )
}

const LONGEST_LABEL = 60

/** The error of the position; the other fields have none. */
export function locationError(customerId: string | null, fields: LocationFormFields): string | undefined {
  const isNew = fields.open && placeOf(customerId, fields) === null
  return isNew ? en.dispatch.place.wrong : undefined
}

/** The site as the command takes it: undefined where none was given, null where its position cannot be parsed. */
export function placeOf(customerId: string | null, fields: LocationFormFields): Taken['site'] | null {
  if (!fields.open) return undefined
  if (customerId && sitesOf(customerId).some(({ id }) => id === fields.siteId)) return { id: fields.siteId }
  const pair = readPair(fields.position)
  if (pair === undefined) return null
  const address = fields.address.trim()
  const access_notes = fields.access_notes.trim()
  if (!address && !access_notes && pair.lat === null) return undefined
  // Named after the first line of its address until somebody renames it.
  const label = (address.split('\n')[0]?.trim() || t.label).slice(0, LONGEST_LABEL)
  return { label, address, access_notes, ...pair }
}
