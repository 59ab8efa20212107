import type { PositionSource } from '../../../domain/contract'
import { placeName, readPair, restOfPlace } from '../../../domain/geo/places'
import { en } from '../../../domain/words/index'
import { addressOnFile, type Place, sitesOf } from '../../../store/customers'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { PositionField } from './PositionField'

const t = en.newJob.where

/** A place as typed. */
export interface PlaceFormFields {
  /** A known site of the customer, `ON_FILE` for the customer's address, or empty for a place typed here. */
  siteId: string
  address: string
  position: string
  position_source: PositionSource
  position_within_m: number | null
  access_notes: string
}

/** The choice of the customer's own address, which no site has yet. */
const ON_FILE = 'on-file'

export const NO_PLACE: PlaceFormFields = {
  siteId: '',
  address: '',
  position: '',
  position_source: '',
  position_within_m: null,
  access_notes: '',
}

interface Props {
  customerId: string | null
  fields: PlaceFormFields
  error: string | undefined
  update: (changed: Partial<PlaceFormFields>) => void
}

/** The place that is chosen unless somebody picks another: the oldest site, else the customer's address. */
export function usualPlace(customerId: string | null): string {
  if (!customerId) return ''
  return sitesOf(customerId)[0]?.id ?? (addressOnFile(customerId) ? ON_FILE : '')
}

/** A known place of the customer, the customer's address, or another one that is typed here; none needs a name. */
export function PlacePicker({ customerId, fields, error, update }: Props) {
  const onFile = customerId ? addressOnFile(customerId) : ''
  const known = [
    ...(customerId ? sitesOf(customerId) : []),
    ...(onFile ? [{ id: ON_FILE, label: t.onFile, address: onFile }] : []),
  ]
  const picked = known.some(({ id }) => id === fields.siteId)
  return (
    <>
      {known.length > 0 && (
        <RadioGroup
          label={t.which}
          value={picked ? fields.siteId : ''}
          options={[
            ...known.map(({ id, label, address }) => ({
              value: id,
              label: label,
              hint: restOfPlace(label, address),
            })),
            { value: '', label: t.another },
          ]}
          onValueChange={(siteId) => update({ siteId })}
        />
      )}
      {!picked && <PlaceFields fields={fields} error={error} update={update} />}
    </>
  )
}

interface PlaceFieldsProps {
  fields: Omit<PlaceFormFields, 'siteId'>
  error: string | undefined
  update: (changed: Partial<PlaceFieldsProps['fields']>) => void
}

/** Address, position and access notes of a place. */
export function PlaceFields({ fields, error, update }: PlaceFieldsProps) {
  return (
    <>
      <TextField
        multiline
        label={en.site.fields.address}
        value={fields.address}
        onValueChange={(address) => update({ address })}
      />
      <PositionField
        value={fields.position}
        source={fields.position_source}
        within={fields.position_within_m}
        hint={`${en.dispatch.place.hint}. ${en.dispatch.place.fromAddress}`}
        error={error}
        onValueChange={(position, position_source, position_within_m) =>
          update({ position, position_source, position_within_m })
        }
      />
      <TextField
        multiline
        label={en.site.fields.access}
        hint={en.site.fields.accessHint}
        value={fields.access_notes}
        onValueChange={(access_notes) => update({ access_notes })}
      />
    </>
  )
}

/** The place as the commands take it: undefined where none was given, null where its position cannot be parsed. */
export function placeOf(customerId: string | null, fields: PlaceFormFields): Place | null | undefined {
  const { siteId } = fields
  if (customerId && sitesOf(customerId).some(({ id }) => id === siteId)) return { id: siteId }
  const onFile = customerId && siteId === ON_FILE ? addressOnFile(customerId) : ''
  const { position, ...typed } = onFile ? { ...NO_PLACE, address: onFile } : fields
  const pair = readPair(position)
  if (pair === undefined) return null
  const address = typed.address.trim()
  const access_notes = typed.access_notes.trim()
  const label = placeName(address, access_notes, position)
  const { position_source, position_within_m } = typed
  return label ? { label, address, access_notes, ...pair, position_source, position_within_m } : undefined
}
