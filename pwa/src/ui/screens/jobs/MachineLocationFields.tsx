import { en } from '../../../domain/words/index'
import { sitesOf } from '../../../store/customers'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import {
  NO_PLACE,
  type PlaceFormFields,
  PlacePicker,
  placeOf,
  usualPlace,
} from '../../features/dispatch/PlacePicker'

const t = en.newJob.where

/** Where the machine is, as typed; hidden until somebody opens it. */
export interface LocationFormFields extends PlaceFormFields {
  open: boolean
}

export const NO_LOCATION: LocationFormFields = { open: false, ...NO_PLACE }

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
          onPress={() => update({ open: true, siteId: usualPlace(customerId) })}
        />
      </ButtonRow>
    )
  return (
    <Section title={t.title}>
      <PlacePicker customerId={customerId} fields={fields} error={error} update={update} />
    </Section>
  )
}

/** The error of the position; the other fields have none. */
export function locationError(customerId: string | null, fields: LocationFormFields): string | undefined {
  return locationOf(customerId, fields) === null ? en.dispatch.place.wrong : undefined
}

/** The place as the command takes it, unless it was never opened. */
export const locationOf = (customerId: string | null, fields: LocationFormFields) =>
  fields.open ? placeOf(customerId, fields) : undefined
