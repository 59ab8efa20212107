import type { Site } from '../../../domain/contract'
import { placeName, readPair, typedPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { editSite } from '../../../store/customerEdits'
import { addressOnFile, addSite, customer, removeSite, site } from '../../../store/customers'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { PlaceFields } from '../../features/dispatch/PlacePicker'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const t = en.site

export function NewSite({ id: customerId }: { id: string }) {
  return <SiteForm customerId={customerId} seen={null} />
}

/** `stopId`: the stop whose place is put right, to go back to. */
export function ChangeSite({ id, stopId }: { id: string; stopId?: string }) {
  const row = site(id)
  const seen = useOriginal(`site:${id}`, row)
  return row && seen ? <SiteForm customerId={row.customer_id} seen={seen} stopId={stopId} /> : <NotFound />
}

interface Props {
  customerId: string
  seen: Site | null
  stopId?: string | undefined
}

function SiteForm({ customerId, seen, stopId }: Props) {
  const form = useForm({
    name: `site:${seen?.id ?? customerId}`,
    blank: {
      label: seen?.label ?? '',
      address: seen ? seen.address : addressOnFile(customerId),
      access_notes: seen?.access_notes ?? '',
      position: typedPair(seen),
      position_source: seen?.position_source ?? '',
      position_within_m: seen?.position_within_m ?? null,
    },
    check: (fields) => ({
      label: !nameOf(fields) && t.missing,
      position: readPair(fields.position) === undefined && en.dispatch.place.wrong,
    }),
    save: (fields) => {
      const { position, ...rest } = fields
      const wanted = { ...rest, label: nameOf(fields), ...readPair(position) }
      return seen ? editSite(seen, wanted) : addSite({ customer_id: customerId, ...wanted })
    },
    back: stopId ? { at: 'stop', id: stopId } : { at: 'customer', id: customerId },
  })
  const { fields, errors, update, field } = form
  return (
    <FormPage
      form={form}
      overline={customer(customerId)?.name ?? ''}
      title={seen ? t.editTitle : t.title}
      saveLabel={t.save}
    >
      <PlaceFields fields={fields} error={errors['position']} update={update} />
      <TextField label={t.fields.label} hint={t.fields.labelHint} {...field('label')} />
      {seen && !stopId && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.remove}
            onPress={() => void form.remove({ action: () => remove(seen), text: t.removed })}
          />
        </ButtonRow>
      )}
    </FormPage>
  )
}

type SiteFormFields = Record<'label' | 'address' | 'access_notes' | 'position', string>

const nameOf = ({ label, address, access_notes, position }: SiteFormFields) =>
  placeName(label, address, access_notes, position)

async function remove({ id, created_at: _, changed_at: __, ...row }: Site) {
  await removeSite(id)
  return () => addSite(row)
}
