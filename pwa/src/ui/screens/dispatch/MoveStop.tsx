import type { Run, Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { rigs, run, runsOn, stop, stopsOfRun } from '../../../store/dispatch'
import { moveStop, openRun } from '../../../store/dispatchCommands'
import { permissions } from '../../../store/session/session'
import { SelectField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { aboutStop, rigName } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { format, today } from '../../shopFormat'
import { type FieldProps, useForm } from '../../useForm'
import { StopPins } from './StopPins'
import { YardVisits } from './YardVisits'

const t = en.dispatch.move

const AHEAD = 7

/** A value among stop ids: a new trip after a visit to the yard. */
const NEW_TRIP = 'new'

/** Moves a stop to a run by hand, and sets its pins. */
export function MoveStop({ id }: { id: string }) {
  const row = stop(id)
  return row && isPendingStop(row.state) ? <MoveForm row={row} /> : <NotFound />
}

/** The runs that a stop can be moved to, locked runs, and rigs without a run on its day. */
function targetsFor(day: string) {
  const ahead = Array.from({ length: AHEAD }, (_, at) => daysAfter(today(), at)).flatMap(runsOn)
  const busy = new Set(runsOn(day).map((each) => (each.state === 'done' ? '' : each.rig_id)))
  return {
    open: ahead.filter((each) => each.state === 'planned' || each.state === 'driving'),
    shut: ahead.filter((each) => each.state === 'locked'),
    free: rigs.value.filter((each) => each.out_at === null && !busy.has(each.id)),
  }
}

interface MoveFormFields {
  /** A run, or a rig that gets a new run; empty: unplanned. */
  to: string
  /** The stop before it; empty: the first; or a new trip. */
  after: string
}

function MoveForm({ row }: { row: Stop }) {
  const now = row.run_id ? run(row.run_id) : undefined
  const day = now?.day ?? today()
  const { open, shut, free } = targetsFor(day)
  const othersOn = (id: string) =>
    open.some((each) => each.id === id) ? stopsOfRun(id).filter((each) => each.id !== row.id) : []
  const form = useForm<MoveFormFields, Moved>({
    name: `move:${row.id}`,
    blank: { to: row.run_id ?? open[0]?.id ?? '', after: placeBefore(row) },
    draft: false,
    save: (fields) => {
      const isRig = free.some((each) => each.id === fields.to)
      return move(row, day, fields, isRig, othersOn(fields.to))
    },
    back: { at: 'stop', id: row.id },
    next: ({ run_id }) => (run_id ? { at: 'run', id: run_id } : { at: 'stop', id: row.id }),
    saved: t.moved,
    undo: ({ undo }) => undo,
  })
  const others = othersOn(form.fields.to)
  return (
    <FormPage
      form={form}
      overline={en.dispatch.kinds[row.kind]}
      title={t.title}
      subtitle={aboutStop(row).name}
      saveLabel={t.put}
      after={
        <>
          {now && open.includes(now) && <YardVisits row={row} on={now} />}
          {permissions.value.has('plan_runs') && <StopPins row={row} others={others} day={day} />}
        </>
      }
    >
      <RadioGroup
        label={t.where}
        value={form.fields.to}
        options={[
          { value: '', label: t.none, hint: t.noneHint },
          ...open.map((each) => ({ value: each.id, label: runWords(each) })),
          ...free.map((each) => ({ value: each.id, label: t.newRun(each.name) })),
        ]}
        onValueChange={(to) => form.update({ to, after: '' })}
      />
      {shut.map((each) => (
        <p key={each.id} class="hint">
          {en.app.joined([runWords(each), t.locked])}
        </p>
      ))}
      {others.length > 0 && <Before others={others} bound={form.field('after')} />}
    </FormPage>
  )
}

/** The stop of the run that comes before it. */
function Before({ others, bound }: { others: readonly Stop[]; bound: FieldProps<string> }) {
  return (
    <SelectField
      label={t.place}
      options={[
        ['', t.first],
        ...others.map((each) => [each.id, t.after(aboutStop(each).name)] as const),
        [NEW_TRIP, t.newTrip],
      ]}
      {...bound}
    />
  )
}

interface Moved {
  run_id: string | null
  undo: () => Promise<unknown>
}

/** Moves a stop behind another on a run, or to a new run of a rig. */
async function move(
  row: Stop,
  day: string,
  { to, after }: MoveFormFields,
  isRig: boolean,
  others: readonly Stop[],
): Promise<Moved> {
  const run_id = isRig ? await openRun(to, day) : to || null
  if (run_id === null) return { run_id, undo: await moveStop(row, { run_id, trip: 0, position: 0 }) }
  const behind = others.find((each) => each.id === after)
  const trip = after === NEW_TRIP ? (others.at(-1)?.trip ?? 0) + 1 : (behind?.trip ?? 0)
  const position = behind ? others.filter((each) => each.trip === trip).indexOf(behind) + 1 : 0
  return { run_id, undo: await moveStop(row, { run_id, trip, position }) }
}

const runWords = (row: Run) =>
  t.onRun(rigName(row.rig_id), format.value.weekday(row.day), stopsOfRun(row.id).length)

function placeBefore(row: Stop): string {
  if (row.run_id === null) return ''
  const stops = stopsOfRun(row.run_id)
  return stops[stops.findIndex((each) => each.id === row.id) - 1]?.id ?? ''
}
