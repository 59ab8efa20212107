import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { machine, machinesOf } from '../../../store/machines'
import { search } from '../../../store/search'
import { Field } from '../../components/Field'
import { Key, Keys } from '../../components/Press'
import { Row } from '../../components/Rows'
import { FirstFields, PlateFields, type TypedMachine } from '../machines/MachineFields'
import { machineName } from '../names'
import type { TypedPlace } from './Where'

/** A job being taken in, as typed: a known owner and machine by id, or new ones in words. */
export interface Intake {
  customerId: string | null
  owner: string
  phone: string
  machineId: string | null
  machine: TypedMachine
  words: string
  happens_when: string
  promised_on: string
  where: TypedPlace
}

interface Props {
  fields: Intake
  put: (fields: Partial<Intake>) => void
}

const its = en.newJob
const OFFERED = 4

/** The owner: picked from those known, who show up while the name is typed, or written down anew. */
export function OwnerChoice({ fields, put, wrong }: Props & { wrong: string | undefined }) {
  const known = fields.customerId ? customer(fields.customerId) : undefined
  if (known)
    return (
      <>
        <Row
          lead={known.name || en.app.noName}
          also={[known.person, known.phone].filter(Boolean).join(' · ')}
        />
        <Keys tall>
          <Key wide words={its.other} onPress={() => put({ customerId: null, machineId: null, owner: '' })} />
        </Keys>
      </>
    )
  const found = fields.owner.trim() ? search(fields.owner) : null
  const owners = found?.customers.slice(0, OFFERED) ?? []
  const machines = found?.machines.slice(0, OFFERED) ?? []
  return (
    <>
      <Field
        label={its.ownerField}
        hint={its.ownerHint}
        value={fields.owner}
        wrong={wrong}
        capital="words"
        enter="next"
        onValue={(owner) => put({ owner })}
      />
      {owners.length + machines.length > 0 && (
        <section aria-label={its.known}>
          <Keys tall>
            {owners.map((owner) => (
              <Key
                key={owner.id}
                wide
                words={owner.name || en.app.noName}
                hint={[owner.phone, en.newJob.machines(machinesOf(owner.id).length)]
                  .filter(Boolean)
                  .join(' · ')}
                onPress={() => put({ customerId: owner.id, owner: '' })}
              />
            ))}
            {machines.map((each) => (
              <Key
                key={each.id}
                wide
                words={machineName(each)}
                hint={[customer(each.customer_id)?.name, each.serial].filter(Boolean).join(' · ')}
                onPress={() => put({ customerId: each.customer_id, machineId: each.id, owner: '' })}
              />
            ))}
          </Keys>
        </section>
      )}
      {fields.owner.trim() && (
        <Field
          label={its.phone}
          type="tel"
          enter="next"
          value={fields.phone}
          onValue={(phone) => put({ phone })}
        />
      )}
    </>
  )
}

/** The machine: one of the owner's, or written down anew. */
export function MachineChoice({ fields, put, wrong }: Props & { wrong: { kind?: string; year?: string } }) {
  const [all, setAll] = useState(false)
  const known = fields.machineId ? machine(fields.machineId) : undefined
  if (known)
    return (
      <>
        <Row lead={machineName(known)} also={known.serial} />
        <Keys tall>
          <Key wide words={its.otherMachine} onPress={() => put({ machineId: null })} />
        </Keys>
      </>
    )
  const owned = fields.customerId ? machinesOf(fields.customerId) : []
  const typed = {
    fields: fields.machine,
    wrong,
    put: (changed: Partial<TypedMachine>) => put({ machine: { ...fields.machine, ...changed } }),
  }
  return (
    <>
      {owned.length > 0 && (
        <Keys tall>
          {owned.map((each) => (
            <Key
              key={each.id}
              wide
              words={machineName(each)}
              hint={each.serial}
              onPress={() => put({ machineId: each.id })}
            />
          ))}
        </Keys>
      )}
      {owned.length > 0 && <p class="hint">{its.orNew}</p>}
      <FirstFields {...typed} />
      {all ? (
        <PlateFields {...typed} />
      ) : (
        <Keys tall>
          <Key wide words={its.more} onPress={() => setAll(true)} />
        </Keys>
      )}
    </>
  )
}
