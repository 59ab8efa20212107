import type { Machine } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { lastMeter, machine, recordMeter } from '../../../store/machines'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { format, today } from '../../shopFormat'
import { useForm } from '../../useForm'

const t = en.meter

export function MeterReadingForm({ id }: { id: string }) {
  const row = machine(id)
  return row ? <NewReading row={row} /> : <NotFound />
}

function NewReading({ row }: { row: Machine }) {
  const last = lastMeter(row.id)
  const form = useForm({
    name: `meter:${row.id}`,
    blank: { hours: '', fresh: false },
    check: ({ hours }) => ({ hours: readHours(hours) === null && en.quote.line.missingNumber }),
    save: ({ hours: typed, fresh }) => {
      const hours = readHours(typed)
      if (hours === null) return null
      const replaced = fresh && { new_segment: true }
      return recordMeter({ machine_id: row.id, hours, read_on: today(), ...replaced })
    },
    back: { at: 'machine', id: row.id },
  })
  return (
    <FormPage form={form} overline={machineName(row)} title={t.title} saveLabel={t.save}>
      <TextField
        decimal
        label={t.hours}
        hint={last && t.last(format.value.number(last.hours), format.value.day(last.read_on))}
        {...form.field('hours')}
      />
      {last && (
        <BooleanRadioGroup
          label={t.replaced}
          options={[
            [false, t.same],
            [true, t.fresh],
          ]}
          {...form.field('fresh')}
        />
      )}
    </FormPage>
  )
}

function readHours(typed: string): string | null {
  const hours = format.value.readNumber(typed)
  return hours === null || hours.startsWith('-') ? null : hours
}
