import type { Machine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { addMachine, editMachine, machine } from '../../../store/machines'
import { More } from '../../components/More'
import { FormPage } from '../../FormPage'
import {
  BLANK_MACHINE,
  hasOtherErrors,
  MachineDetailFields,
  type MachineFormFields,
  MachineNameFields,
  MachineSerialField,
  toMachineFields,
  validateMachine,
} from '../../features/machines/MachineFields'
import { toSizeFormFields } from '../../features/machines/SizeFields'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'

const t = en.machine

export function NewMachine({ id: customerId }: { id: string }) {
  return <MachineForm customerId={customerId} seen={null} />
}

export function ChangeMachine({ id }: { id: string }) {
  const row = machine(id)
  const seen = useOriginal(`machine:${id}`, row)
  return row && seen ? <MachineForm customerId={row.customer_id} seen={seen} /> : <NotFound />
}

function typed(row: Machine): MachineFormFields {
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
    size: toSizeFormFields(row),
  }
}

function MachineForm({ customerId, seen }: { customerId: string; seen: Machine | null }) {
  const form = useForm({
    name: `machine:${seen?.id ?? customerId}`,
    blank: seen ? typed(seen) : BLANK_MACHINE,
    check: validateMachine,
    save: (fields) =>
      seen
        ? editMachine(seen, toMachineFields(fields, seen))
        : addMachine({ customer_id: customerId, ...toMachineFields(fields) }),
    back: seen ? { at: 'machine', id: seen.id } : { at: 'customer', id: customerId },
  })
  return (
    <FormPage
      form={form}
      overline={customer(customerId)?.name ?? ''}
      title={seen ? t.editTitle : t.newTitle}
      saveLabel={t.save}
    >
      <MachineNameFields {...form} />
      <MachineSerialField {...form} />
      <More label={en.intake.more} names={t.moreNames} invalid={hasOtherErrors(form.errors)}>
        <MachineDetailFields {...form} />
      </More>
    </FormPage>
  )
}
