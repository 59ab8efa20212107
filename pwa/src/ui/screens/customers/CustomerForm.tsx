import { useState } from 'preact/hooks'
import type { Customer } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer, editCustomer } from '../../../store/customers'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.customer

export function CustomerForm({ id }: { id: string }) {
  const row = customer(id)
  return row ? <Change row={row} /> : <Nowhere />
}

function Change({ row }: { row: Customer }) {
  const [seen] = useState(row)
  const { fields, put, drop } = useDraft(`customer:${row.id}`, {
    name: row.name,
    person: row.person,
    phone: row.phone,
    email: row.email,
    address: row.address,
    notes: row.notes,
    tax_exempt: row.tax_exempt,
    exempt_reason: row.exempt_reason,
  })
  const [wrong, setWrong] = useState<{ name?: string }>({})
  const { busy, send } = useSend()
  const back = { at: 'customer', id: row.id } as const

  function save() {
    if (!fields.name.trim()) return setWrong({ name: en.newJob.missing.owner })
    void send(
      () => editCustomer(seen, fields),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={row.name}
      title={its.editTitle}
      back={back}
      dock={<Slab words={its.save} form="customer" busy={busy} />}
    >
      <Form id="customer" wrong={wrong} onSend={save}>
        <Field
          label={its.fields.name}
          value={fields.name}
          wrong={wrong.name}
          capital="words"
          onValue={(name) => put({ name })}
        />
        <Field
          label={its.fields.person}
          value={fields.person}
          capital="words"
          onValue={(person) => put({ person })}
        />
        <Field label={its.fields.phone} type="tel" value={fields.phone} onValue={(phone) => put({ phone })} />
        <Field
          label={its.fields.email}
          type="email"
          capital="off"
          value={fields.email}
          onValue={(email) => put({ email })}
        />
        <Field
          area
          label={its.fields.address}
          value={fields.address}
          onValue={(address) => put({ address })}
        />
        <Field area label={its.fields.notes} value={fields.notes} onValue={(notes) => put({ notes })} />
        <Choice
          label={its.fields.exempt}
          value={fields.tax_exempt ? 'exempt' : 'pays'}
          options={[
            { value: 'pays', words: its.fields.exemptNo },
            { value: 'exempt', words: its.fields.exemptYes },
          ]}
          onValue={(value) => put({ tax_exempt: value === 'exempt' })}
        />
        {fields.tax_exempt && (
          <Field
            label={its.fields.exemptReason}
            value={fields.exempt_reason}
            onValue={(exempt_reason) => put({ exempt_reason })}
          />
        )}
      </Form>
    </Sheet>
  )
}
