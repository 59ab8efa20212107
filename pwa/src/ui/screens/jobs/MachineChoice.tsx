import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { machine, machinesOf } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Serial } from '../../components/Serial'
import {
  MachineDetailFields,
  type MachineFormFields,
  MachineNameFields,
  MachineSerialField,
} from '../../features/machines/MachineFields'
import { machineName } from '../../names'
import type { FormState } from '../../useForm'
import type { NewJobFields, NewJobFieldsProps } from './newJobFields'

const t = en.newJob

type Props = NewJobFieldsProps & Pick<FormState<NewJobFields>, 'errors'>

const typedMachine = ({ fields, update, errors }: Props) => ({
  fields: fields.machine,
  errors,
  update: (changed: Partial<MachineFormFields>) => update({ machine: { ...fields.machine, ...changed } }),
})

/** The serial number of a new machine, and on a tap what else its nameplates say; nothing for a known one. */
export function MachineMore(props: Props) {
  const [all, setAll] = useState(false)
  if (props.fields.machineId && machine(props.fields.machineId)) return null
  const typed = typedMachine(props)
  return (
    <>
      <MachineSerialField {...typed} />
      {all ? (
        <MachineDetailFields {...typed} />
      ) : (
        <ButtonRow stacked>
          <Button wide label={t.more} onPress={() => setAll(true)} />
        </ButtonRow>
      )}
    </>
  )
}

/** The machine: one of the customer's, or a new one. */
export function MachineChoice({ fields, update, errors }: Props) {
  const known = fields.machineId ? machine(fields.machineId) : undefined
  if (known)
    return (
      <>
        <ListItem title={machineName(known)} details={known.serial && <Serial text={known.serial} />} />
        <ButtonRow stacked>
          <Button wide label={t.otherMachine} onPress={() => update({ machineId: null })} />
        </ButtonRow>
      </>
    )
  const owned = fields.customerId ? machinesOf(fields.customerId) : []
  const typed = typedMachine({ fields, update, errors })
  return (
    <>
      {owned.length > 0 && (
        <ButtonRow stacked>
          {owned.map((each) => (
            <Button
              key={each.id}
              wide
              label={machineName(each)}
              hint={each.serial}
              onPress={() => update({ machineId: each.id })}
            />
          ))}
        </ButtonRow>
      )}
      {owned.length > 0 && <p class="hint">{t.orNew}</p>}
      <MachineNameFields {...typed} />
    </>
  )
}
