import { useState } from 'preact/hooks'
import type { Site } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { addSite, customer, editSite, removeSite, site } from '../../../store/customers'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { saving, tell } from '../../telling'
import { PositionField, readPair, typedPair } from '../dispatch/PositionField'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.site

export function NewSite({ customerId }: { customerId: string }) {
  return <SiteForm customerId={customerId} seen={null} />
}

export function ChangeSite({ id }: { id: string }) {
  const row = site(id)
  const [seen] = useState(row)
  return row && seen ? <SiteForm customerId={row.customer_id} seen={seen} /> : <Nowhere />
}

function SiteForm({ customerId, seen }: { customerId: string; seen: Site | null }) {
  const { fields, put, drop } = useDraft(`site:${seen?.id ?? customerId}`, {
    label: seen?.label ?? '',
    address: seen?.address ?? '',
    access_notes: seen?.access_notes ?? '',
    position: typedPair(seen),
  })
  const [wrong, setWrong] = useState<{ label?: string; position?: string }>({})
  const { busy, send } = useSend()
  const back = { at: 'customer', id: customerId } as const
  const leave = () => {
    drop()
    goTo(back, { instead: true })
  }

  function save() {
    const { position, ...rest } = fields
    const pair = readPair(position)
    const faults = {
      ...(!fields.label.trim() && { label: its.missing }),
      ...(pair === undefined && { position: en.dispatch.place.wrong }),
    }
    setWrong(faults)
    if (Object.keys(faults).length) return
    const wanted = { ...rest, ...pair }
    void send(() => (seen ? editSite(seen, wanted) : addSite({ customer_id: customerId, ...wanted })), leave)
  }
  async function remove(row: Site) {
    if (!(await saving(() => removeSite(row.id)))) return
    const { label, address, lat, lon, access_notes } = row
    tell(its.removed, () => addSite({ customer_id: customerId, label, address, lat, lon, access_notes }))
    leave()
  }
  return (
    <Sheet
      over={customer(customerId)?.name ?? ''}
      title={seen ? its.editTitle : its.title}
      back={back}
      dock={<Slab words={its.save} form="site" busy={busy} />}
    >
      <Form id="site" wrong={wrong} onSend={save}>
        <Field
          label={its.fields.label}
          hint={its.fields.labelHint}
          value={fields.label}
          wrong={wrong.label}
          onValue={(label) => put({ label })}
        />
        <Field
          area
          label={its.fields.address}
          value={fields.address}
          onValue={(address) => put({ address })}
        />
        <Field
          area
          label={its.fields.access}
          hint={its.fields.accessHint}
          value={fields.access_notes}
          onValue={(access_notes) => put({ access_notes })}
        />
        <PositionField
          value={fields.position}
          wrong={wrong.position}
          onValue={(position) => put({ position })}
        />
        {seen && (
          <Keys tall>
            <Key wide words={its.remove} onPress={() => void remove(seen)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}
