import { phoneDigits } from '../../../domain/customers/phoneNumber'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { machinesOf } from '../../../store/machines'
import { search } from '../../../store/search/search'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { ListItem } from '../../components/List'
import { machineName } from '../../names'
import { type FormPart, fieldBinder } from '../../useForm'
import { contactOf, type NewJobFields, type NewJobFieldsProps, noContact } from './newJobFields'

const t = en.newJob
const OFFERED = 4

/** The customer: one of the known customers, suggested while name or number is typed, or a new one. */
export function CustomerChoice({ fields, update, errors }: FormPart<NewJobFields>) {
  const known = fields.customerId ? customer(fields.customerId) : undefined
  if (known)
    return (
      <>
        <ListItem
          title={known.name || en.app.noName}
          details={[known.person, known.phone].filter(Boolean).join(' · ')}
        />
        <ButtonRow stacked>
          <Button
            wide
            label={t.other}
            onPress={() =>
              update({ customerId: null, machineId: null, customerName: '', contact: noContact() })
            }
          />
        </ButtonRow>
      </>
    )
  const byNumber = phoneDigits(fields.customerName) !== ''
  const field = fieldBinder({ fields, update, errors })
  return (
    <>
      <TextField
        label={t.customerField}
        hint={t.customerHint}
        autocapitalize="words"
        enterKey="next"
        {...field('customerName')}
      />
      {fields.customerName.trim() && <Known typed={fields.customerName} update={update} />}
      {fields.customerName.trim() && (
        <TextField
          key={byNumber ? 'name' : 'phone'}
          {...(byNumber
            ? { label: t.name, autocapitalize: 'words', ...field('nameToNumber') }
            : { label: t.phone, type: 'tel', ...field('phone') })}
          enterKey="next"
        />
      )}
    </>
  )
}

/** Known customers and machines that match what was typed. */
function Known({ typed, update }: { typed: string; update: NewJobFieldsProps['update'] }) {
  const found = search(typed)
  const customers = found.customers.slice(0, OFFERED)
  const machines = found.machines.slice(0, OFFERED)
  if (customers.length + machines.length === 0) return null
  return (
    <section aria-label={t.known}>
      <ButtonRow stacked>
        {customers.map((each) => (
          <Button
            key={each.id}
            wide
            label={each.name || en.app.noName}
            hint={[each.phone, en.newJob.machines(machinesOf(each.id).length)].filter(Boolean).join(' · ')}
            onPress={() => update({ customerId: each.id, customerName: '', contact: contactOf(each) })}
          />
        ))}
        {machines.map((each) => (
          <Button
            key={each.id}
            wide
            label={machineName(each)}
            hint={[customer(each.customer_id)?.name, each.serial].filter(Boolean).join(' · ')}
            onPress={() =>
              update({
                customerId: each.customer_id,
                machineId: each.id,
                customerName: '',
                contact: contactOf(customer(each.customer_id)),
              })
            }
          />
        ))}
      </ButtonRow>
    </section>
  )
}
