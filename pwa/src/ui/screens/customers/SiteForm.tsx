import type { Site } from '../../../domain/contract'
import { readPair, typedPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { addSite, customer, editSite, removeSite, site } from '../../../store/customers'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { PositionField } from '../../features/dispatch/PositionField'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const t = en.site

export function NewSite({ id: customerId }: { id: string }) {
  return <SiteForm customerId={customerId} seen={null} />
}

export function ChangeSite({ id }: { id: string }) {
  const row = site(id)
  const seen = useOriginal(`site:${id}`, row)
  return row && seen ? <SiteForm customerId={row.customer_id} seen={seen} /> : <NotFound />
}

function SiteForm({ customerId, seen }: { customerId: string; seen: Site | null }) {
  const form = useForm({
    name: `site:${seen?.id ?? customerId}`,
    blank: {
      label: seen?.label ?? '',
      address: seen?.address ?? '',
      access_notes: seen?.access_notes ?? '',
      position: typedPair(seen),
    },
    check: ({ label, position }) => ({
      label: !label.trim() && t.missing,
      position: readPair(position) === undefined && en.dispatch.place.wrong,
    }),
    save: ({ position, ...rest }) => {
      const wanted = { ...rest, ...readPair(position) }
      return seen ? editSite(seen, wanted) : addSite({ customer_id: customerId, ...wanted })
    },
    back: { at: 'customer', id: customerId },
  })
  const { field } = form
  return (
    <FormPage
      form={form}
      overline={customer(customerId)?.name ?? ''}
      title={seen ? t.editTitle : t.title}
      saveLabel={t.save}
    >
      <TextField label={t.fields.label} hint={t.fields.labelHint} {...field('label')} />
      <TextField multiline label={t.fields.address} {...field('address')} />
      <TextField multiline label={t.fields.access} hint={t.fields.accessHint} {...field('access_notes')} />
      <PositionField {...field('position')} />
      {seen && (
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

async function remove({ id, customer_id, label, address, lat, lon, access_notes }: Site) {
  await removeSite(id)
  return () => addSite({ customer_id, label, address, lat, lon, access_notes })
}
