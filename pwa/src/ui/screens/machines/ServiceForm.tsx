import type { Machine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { services as t } from '../../../domain/words/services'
import { lastMeter, machine } from '../../../store/machines'
import { nextSeason, recordService, servicesOf } from '../../../store/services'
import { shop } from '../../../store/shop'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { format, today } from '../../shopFormat'
import { useForm } from '../../useForm'

interface Props {
  id: string
  entryId?: string
}

/** Records that a service was done on a machine. */
export function ServiceForm({ id, entryId }: Props) {
  const row = machine(id)
  return row ? <NewService row={row} entryId={entryId} /> : <NotFound />
}

function NewService({ row, entryId }: { row: Machine; entryId: string | undefined }) {
  const known = servicesOf(row, nextSeason(shop.value, today())).map(({ entry }) => entry)
  const chosen = known.find(({ id }) => id === entryId) ?? known[0]
  const form = useForm({
    name: `service:${row.id}`,
    blank: { what: chosen?.words ?? '', done_on: today() as string, hours: '' },
    check: ({ what, done_on, hours }) => ({
      what: !what.trim() && t.missing,
      done_on: !(done_on && done_on <= today()) && t.wrongDay,
      hours: readHours(hours) === undefined && t.wrongHours,
    }),
    save: ({ what, done_on, hours: typed }) => {
      const hours = readHours(typed)
      return hours === undefined ? null : recordService(row.id, { what, done_on, hours })
    },
    back: { at: 'machine', id: row.id },
  })
  const { field } = form
  const last = lastMeter(row.id)
  return (
    <FormPage form={form} overline={machineName(row)} title={t.formTitle} saveLabel={t.save}>
      {known.length ? (
        <SelectField label={t.what} options={known.map(({ words }) => [words, words])} {...field('what')} />
      ) : (
        <TextField label={t.what} hint={t.none} {...field('what')} />
      )}
      <TextField type="date" label={t.on} {...field('done_on')} />
      <TextField
        decimal
        label={t.hours}
        hint={
          last ? en.meter.last(format.value.number(last.hours), format.value.day(last.read_on)) : t.hoursHint
        }
        {...field('hours')}
      />
    </FormPage>
  )
}

/** The hours as plain text; null if none are typed, undefined if they cannot be read. */
function readHours(typed: string): string | null | undefined {
  if (!typed.trim()) return null
  const hours = format.value.readNumber(typed)
  return hours !== null && /^\d{1,6}(\.\d{1,2})?$/u.test(hours) ? hours : undefined
}
