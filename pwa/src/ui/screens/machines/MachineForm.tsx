import { useState } from 'preact/hooks'
import type { Machine } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { addMachine, editMachine, machine } from '../../../store/machines'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import {
  BLANK_MACHINE,
  FirstFields,
  faultsOf,
  machineOf,
  PlateFields,
  type TypedMachine,
} from './MachineFields'
import { typedSize } from './SizeFields'

const its = en.machine

export function NewMachine({ customerId }: { customerId: string }) {
  return <MachineForm customerId={customerId} seen={null} />
}

export function ChangeMachine({ id }: { id: string }) {
  const row = machine(id)
  const [seen] = useState(row)
  return row && seen ? <MachineForm customerId={row.customer_id} seen={seen} /> : <Nowhere />
}

function typed(row: Machine): TypedMachine {
  const { kind, make, model, serial, year, engine_make, engine_model, engine_serial, notes } = row
  return {
    kind,
    make,
    model,
    serial,
    year: year?.toString() ?? '',
    engine_make,
    engine_model,
    engine_serial,
    notes,
    size: typedSize(row),
  }
}

function MachineForm({ customerId, seen }: { customerId: string; seen: Machine | null }) {
  const { fields, put, drop } = useDraft(
    `machine:${seen?.id ?? customerId}`,
    seen ? typed(seen) : BLANK_MACHINE,
  )
  const [wrong, setWrong] = useState<Record<string, string | undefined>>({})
  const { busy, send } = useSend()
  const back = seen
    ? ({ at: 'machine', id: seen.id } as const)
    : ({ at: 'customer', id: customerId } as const)

  function save() {
    const faults = faultsOf(fields)
    setWrong(faults)
    if (Object.keys(faults).length) return
    void send(
      () =>
        seen
          ? editMachine(seen, machineOf(fields))
          : addMachine({ customer_id: customerId, ...machineOf(fields) }),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={customer(customerId)?.name ?? ''}
      title={seen ? its.editTitle : its.newTitle}
      back={back}
      dock={<Slab words={its.save} form="machine" busy={busy} />}
    >
      <Form id="machine" wrong={wrong} onSend={save}>
        <FirstFields fields={fields} wrong={wrong} put={put} />
        <PlateFields fields={fields} wrong={wrong} put={put} />
      </Form>
    </Sheet>
  )
}
