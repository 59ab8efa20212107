import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { takeIn } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { BLANK_MACHINE, faultsOf, machineOf } from '../machines/MachineFields'
import { Sheet } from '../Sheet'
import { type Intake, MachineChoice, OwnerChoice } from './intake'
import { faultOfPlace, NO_PLACE, placeOf, Where } from './Where'

const its = en.newJob

const BLANK: Intake = {
  customerId: null,
  owner: '',
  phone: '',
  machineId: null,
  machine: BLANK_MACHINE,
  words: '',
  happens_when: '',
  promised_on: '',
  where: NO_PLACE,
}

type Faults = { owner?: string; kind?: string; year?: string; words?: string; position?: string }

/** Owner, machine and what is wrong on one ticket; all of it is saved together or not at all. */
export function NewJob({ customerId, machineId }: { customerId?: string; machineId?: string }) {
  const { fields, put, drop } = useDraft<Intake>(`new-job:${machineId ?? customerId ?? ''}`, {
    ...BLANK,
    customerId: customerId ?? (machineId && machine(machineId)?.customer_id) ?? null,
    machineId: machineId ?? null,
  })
  const [wrong, setWrong] = useState<Faults>({})
  const { busy, send } = useSend()

  function save() {
    const found = faults(fields)
    setWrong(found)
    if (Object.keys(found).length) return
    let made = ''
    void send(
      async () => {
        made = await takeIn({
          customer: fields.customerId
            ? { id: fields.customerId }
            : { name: fields.owner.trim(), ...(fields.phone.trim() && { phone: fields.phone.trim() }) },
          machine: fields.machineId ? { id: fields.machineId } : machineOf(fields.machine),
          site: placeOf(fields.customerId, fields.where) ?? undefined,
          ...(fields.promised_on && { job: { promised_on: fields.promised_on } }),
          complaint: { words: fields.words, happens_when: fields.happens_when },
        })
      },
      () => {
        drop()
        goTo({ at: 'job', id: made }, { instead: true })
      },
    )
  }
  return (
    <Sheet
      title={its.title}
      back={{ at: 'today' }}
      dock={<Slab words={its.save} hint={its.saveHint} form="new-job" busy={busy} />}
    >
      <Form id="new-job" wrong={wrong} onSend={save}>
        <Part title={its.owner}>
          <OwnerChoice fields={fields} put={put} wrong={wrong.owner} />
        </Part>
        <Part title={its.machine}>
          <MachineChoice fields={fields} put={put} wrong={wrong} />
        </Part>
        <Part title={its.wrong}>
          <Field
            area
            label={its.words}
            value={fields.words}
            wrong={wrong.words}
            onValue={(words) => put({ words })}
          />
          <Field
            label={its.when}
            hint={its.whenHint}
            value={fields.happens_when}
            onValue={(happens_when) => put({ happens_when })}
          />
          <Field
            type="date"
            label={its.promised}
            hint={en.job.fields.promisedHint}
            value={fields.promised_on}
            onValue={(promised_on) => put({ promised_on })}
          />
        </Part>
        <Where
          customerId={fields.customerId}
          fields={fields.where}
          wrong={wrong.position}
          put={(changed) => put({ where: { ...fields.where, ...changed } })}
        />
      </Form>
    </Sheet>
  )
}

function faults(fields: Intake): Faults {
  const position = faultOfPlace(fields.customerId, fields.where)
  const known = fields.customerId && customer(fields.customerId)
  return {
    ...(!known && !fields.owner.trim() && { owner: its.missing.owner }),
    ...(!fields.machineId && faultsOf(fields.machine)),
    ...(!fields.words.trim() && { words: its.missing.words }),
    ...(position && { position }),
  }
}
