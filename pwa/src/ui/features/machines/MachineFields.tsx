import type { Machine } from '../../../domain/contract'
import { faultsOfMachine } from '../../../domain/machines/machineFaults'
import { en } from '../../../domain/words'
import { TextField } from '../../components/Field'
import { type FieldErrors, type FormPart, fieldBinder } from '../../useForm'
import { SizeFields, type SizeFormFields, sizeError, toSize, unreadSize } from './SizeFields'

/** The fields of a machine as typed; the year is text. */
export interface MachineFormFields {
  kind: string
  make: string
  model: string
  serial: string
  year: string
  engine_make: string
  engine_model: string
  engine_serial: string
  notes: string
  size: SizeFormFields
}

export const BLANK_MACHINE: MachineFormFields = {
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

const t = en.machine.fields

/** Kind, make and model. */
export function MachineNameFields(part: FormPart<MachineFormFields>) {
  const field = fieldBinder(part)
  return (
    <>
      <TextField label={t.kind} hint={t.kindHint} {...field('kind')} />
      <div class="field-pair">
        <TextField label={t.make} autocapitalize="words" {...field('make')} />
        <TextField label={t.model} autocapitalize="characters" {...field('model')} />
      </div>
    </>
  )
}

/** The serial number of the machine itself. */
export function MachineSerialField(part: FormPart<MachineFormFields>) {
  return <TextField label={t.serial} serial autocapitalize="characters" {...fieldBinder(part)('serial')} />
}

/** The other fields, from the nameplates of machine and engine. */
export function MachineDetailFields(part: FormPart<MachineFormFields>) {
  const field = fieldBinder(part)
  const { fields, errors, update } = part
  return (
    <>
      <TextField label={t.year} decimal {...field('year')} />
      <div class="field-pair">
        <TextField label={t.engineMake} autocapitalize="words" {...field('engine_make')} />
        <TextField label={t.engineModel} autocapitalize="characters" {...field('engine_model')} />
      </div>
      <TextField label={t.engineSerial} serial autocapitalize="characters" {...field('engine_serial')} />
      <TextField multiline label={t.notes} {...field('notes')} />
      <SizeFields size={fields.size} errors={errors} onSize={(size) => update({ size })} />
    </>
  )
}

/** Whether a field is wrong that only the other fields show. */
export const hasOtherErrors = (errors: FormPart<MachineFormFields>['errors']): boolean =>
  Object.keys(errors).some((one) => errors[one] && !['kind', 'make', 'model', 'serial'].includes(one))

/** Errors by field: what cannot be parsed, and what the server would refuse. */
export function validateMachine(fields: MachineFormFields): FieldErrors {
  const refused = faultsOfMachine({ ...toMachineFields(fields), kind: fields.kind.trim() }).map(
    ({ field }) => field,
  )
  const invalid = [...refused, ...unreadSize(fields.size)]
  return {
    ...Object.fromEntries(invalid.map((field) => [field, wordsOf(field)])),
    ...(!fields.kind.trim() && { kind: en.newJob.missing.machine }),
  }
}

function wordsOf(field: string): string {
  if (field === 'year') return en.machine.missingYear
  return sizeError(field) ?? en.app.tooLong
}

/** The machine as the command takes it. */
export function toMachineFields({ year, size, ...fields }: MachineFormFields, seen: Machine | null = null) {
  return { ...fields, ...toSize(size, seen), year: year.trim() ? Number(year.trim()) : null }
}
