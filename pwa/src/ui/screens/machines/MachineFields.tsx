import { en } from '../../../domain/words'
import { Field } from '../../components/Field'
import { faultsOfSize, SizeFields, sizeOf, type TypedSize } from './SizeFields'

/** A machine as it is typed; the year still as text. */
export interface TypedMachine {
  kind: string
  make: string
  model: string
  serial: string
  year: string
  engine_make: string
  engine_model: string
  engine_serial: string
  notes: string
  size: TypedSize
}

export const BLANK_MACHINE: TypedMachine = {
  kind: '',
  make: '',
  model: '',
  serial: '',
  year: '',
  engine_make: '',
  engine_model: '',
  engine_serial: '',
  notes: '',
  size: {},
}

const its = en.machine.fields

interface Props {
  fields: TypedMachine
  wrong: Record<string, string | undefined>
  put: (fields: Partial<TypedMachine>) => void
}

/** What tells one machine from another at a glance. */
export function FirstFields({ fields, wrong, put }: Props) {
  return (
    <>
      <Field
        label={its.kind}
        hint={its.kindHint}
        value={fields.kind}
        wrong={wrong['kind']}
        onValue={(kind) => put({ kind })}
      />
      <div class="pair">
        <Field label={its.make} value={fields.make} capital="words" onValue={(make) => put({ make })} />
        <Field
          label={its.model}
          value={fields.model}
          capital="characters"
          onValue={(model) => put({ model })}
        />
      </div>
    </>
  )
}

/** The rest, from the plates of machine and engine. */
export function PlateFields({ fields, wrong, put }: Props) {
  return (
    <>
      <Field
        label={its.serial}
        value={fields.serial}
        capital="characters"
        onValue={(serial) => put({ serial })}
      />
      <Field
        label={its.year}
        decimal
        value={fields.year}
        wrong={wrong['year']}
        onValue={(year) => put({ year })}
      />
      <div class="pair">
        <Field
          label={its.engineMake}
          value={fields.engine_make}
          capital="words"
          onValue={(engine_make) => put({ engine_make })}
        />
        <Field
          label={its.engineModel}
          value={fields.engine_model}
          capital="characters"
          onValue={(engine_model) => put({ engine_model })}
        />
      </div>
      <Field
        label={its.engineSerial}
        value={fields.engine_serial}
        capital="characters"
        onValue={(engine_serial) => put({ engine_serial })}
      />
      <Field area label={its.notes} value={fields.notes} onValue={(notes) => put({ notes })} />
      <SizeFields size={fields.size} wrong={wrong} onSize={(size) => put({ size })} />
    </>
  )
}

/** What is wrong with a typed machine, by field. */
export function faultsOf(fields: TypedMachine): Props['wrong'] {
  return {
    ...(!fields.kind.trim() && { kind: en.newJob.missing.machine }),
    ...(!/^(\d{4})?$/.test(fields.year.trim()) && { year: en.machine.missingYear }),
    ...faultsOfSize(fields.size),
  }
}

/** The machine as a command takes it. */
export function machineOf({ year, size, ...fields }: TypedMachine) {
  return { ...fields, ...sizeOf(size), year: year.trim() ? Number(year) : null }
}
