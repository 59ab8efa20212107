import { en } from '../../../domain/words'
import { sitesOf } from '../../../store/customers'
import type { Intake as Taken } from '../../../store/jobs'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { PositionField, readPair } from '../dispatch/PositionField'

const its = en.newJob.where

/** Where the machine stands, as typed; folded away until somebody asks for it. */
export interface TypedPlace {
  open: boolean
  /** A known place of the owner; empty: one that is written down here. */
  siteId: string
  address: string
  position: string
  access_notes: string
}

export const NO_PLACE: TypedPlace = { open: false, siteId: '', address: '', position: '', access_notes: '' }

interface Props {
  customerId: string | null
  fields: TypedPlace
  wrong: string | undefined
  put: (changed: Partial<TypedPlace>) => void
}

/** The place that fetching it asks for later. It may stay away: a job needs none to be opened. */
export function Where({ customerId, fields, wrong, put }: Props) {
  const known = customerId ? sitesOf(customerId) : []
  if (!fields.open)
    return (
      <Keys tall>
        <Key
          wide
          words={its.open}
          hint={known.length > 0 ? its.known(en.app.listed(known.map(({ label }) => label))) : its.hint}
          onPress={() => put({ open: true, siteId: known[0]?.id ?? '' })}
        />
      </Keys>
    )
  const picked = known.find(({ id }) => id === fields.siteId)
  return (
    <Part title={its.title}>
      {known.length > 0 && (
        <Choice
          label={its.which}
          value={picked?.id ?? ''}
          options={[
            ...known.map(({ id, label, address }) => ({ value: id, words: label, hint: address })),
            { value: '', words: its.another },
          ]}
          onValue={(siteId) => put({ siteId })}
        />
      )}
      {!picked && (
        <>
          <Field
            area
            label={en.site.fields.address}
            value={fields.address}
            onValue={(address) => put({ address })}
          />
          <PositionField value={fields.position} wrong={wrong} onValue={(position) => put({ position })} />
          <Field
            area
            label={en.site.fields.access}
            hint={en.site.fields.accessHint}
            value={fields.access_notes}
            onValue={(access_notes) => put({ access_notes })}
          />
        </>
      )}
    </Part>
  )
}

const LONGEST_LABEL = 60

/** What is wrong with the position; nothing else about a place can be. */
export function faultOfPlace(customerId: string | null, fields: TypedPlace): string | undefined {
  const isNew = fields.open && placeOf(customerId, fields) === null
  return isNew ? en.dispatch.place.wrong : undefined
}

/** The place as it is taken in: undefined where none was given, null where its position cannot be read. */
export function placeOf(customerId: string | null, fields: TypedPlace): Taken['site'] | null {
  if (!fields.open) return undefined
  if (customerId && sitesOf(customerId).some(({ id }) => id === fields.siteId)) return { id: fields.siteId }
  const pair = readPair(fields.position)
  if (pair === undefined) return null
  const address = fields.address.trim()
  const access_notes = fields.access_notes.trim()
  if (!address && !access_notes && pair.lat === null) return undefined
  // It is called what its first line says, until somebody gives it a better name.
  const label = (address.split('\n')[0]?.trim() || its.label).slice(0, LONGEST_LABEL)
  return { label, address, access_notes, ...pair }
}
