import { useState } from 'preact/hooks'
import { doubtAbout, faultsOf, instantOf, isRunning, wallAt } from '../../../domain/clock'
import type { TimeEntry, TimeKind } from '../../../domain/rows'
import { type Moment, moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { seesAll } from '../../../store/hours'
import { openJobs } from '../../../store/jobs'
import { opened } from '../../../store/opened'
import { addEntry, beside, correctEntry, dropEntry, entry, plainWork, workOf } from '../../../store/time'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { zone } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { memberName } from '../hours/week'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { isOwn, jobWords, listOf, spanWords, workWords } from './about'

const its = en.clock
const KINDS: readonly TimeKind[] = ['repair', 'diagnosis', 'travel', 'errand', 'shop']

export function FixTime({ id }: { id: string }) {
  const row = entry(id)
  if (!row || row.state === 'replaced') return <Nowhere back={{ at: 'my-time' }} />
  return <TimeForm key={id} row={row} whose={row.member_id} />
}

/** @param memberId whose time it is, where it is not one's own */
export function AddTime({ memberId }: { memberId?: string | undefined }) {
  const whose = (seesAll() && memberId) || (opened.value?.who.member_id ?? '')
  return <TimeForm key={whose} row={null} whose={whose} />
}

interface Typed {
  kind: TimeKind
  job: string
  startDay: string
  startTime: string
  endDay: string
  endTime: string
  reason: string
}

/** When an entry began and ended and what it was for: one in place of another, or one that no clock made. */
function TimeForm({ row, whose }: { row: TimeEntry | null; whose: string }) {
  const own = isOwn(whose)
  const whoseWords = own ? its.myTime : memberName(whose)
  const back = listOf(whose)
  const [now] = useState(Date.now)
  const runs = row !== null && isRunning(row)
  const ended = row && (row.ended_at ?? row.device_ended_at)
  const start = wallAt(zone.value, row ? Date.parse(row.started_at) : now - 3_600_000)
  const end = wallAt(zone.value, ended ? Date.parse(ended) : now)
  const { fields, put, drop } = useDraft<Typed>(`time:${row?.id ?? (own ? 'new' : `new:${whose}`)}`, {
    kind: row?.kind ?? 'repair',
    job: row?.job_id ?? '',
    startDay: start.day,
    startTime: start.time,
    endDay: runs ? start.day : end.day,
    endTime: runs ? '' : end.time,
    reason: runs ? its.forgot : '',
  })
  const [wrong, setWrong] = useState<Partial<Record<keyof Typed, string>>>({})
  const { busy, send } = useSend()

  function save() {
    // What was not touched keeps its seconds.
    const read = (day: string, time: string, was: Moment | null | undefined) => {
      const shown = was && wallAt(zone.value, Date.parse(was))
      if (was && shown && shown.day === day && shown.time === time) return was
      const ms = instantOf(zone.value, { day, time })
      return ms === null ? null : moment(ms)
    }
    const started_at = read(fields.startDay, fields.startTime, row?.started_at)
    const ended_at = read(fields.endDay, fields.endTime, row?.ended_at)
    const kept = row?.kind === 'rework' ? workOf(row) : null
    const work = kept ?? {
      ...(row && row.job_id === (fields.job || null) && row.kind === fields.kind
        ? workOf(row)
        : plainWork(fields.kind, fields.job || null)),
    }
    const found: typeof wrong = {
      ...(started_at === null && { startTime: its.missingTime }),
      ...(ended_at === null && { endTime: its.missingTime }),
      ...(faultsOf(work).includes('job_id') && {
        job: work.kind === 'shop' ? its.noJob : its.missingJob,
      }),
      ...(!fields.reason.trim() && { reason: its.missingReason }),
      ...(started_at !== null && ended_at !== null && faultOfSpan(row, whose, started_at, ended_at)),
    }
    setWrong(found)
    if (Object.keys(found).length || started_at === null || ended_at === null) return
    const mended = { work, started_at, ended_at, reason: fields.reason.trim() }
    void send(
      () => (row ? correctEntry(row.id, mended) : addEntry({ ...mended, ...(!own && { member_id: whose }) })),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }

  async function takeOut(gone: TimeEntry) {
    let undo: (() => Promise<void>) | undefined
    const saved = await saving(async () => {
      undo = await dropEntry(gone, fields.reason.trim() || its.dropHint)
    })
    if (!saved) return
    drop()
    tell(its.dropped, undo)
    goTo(back, { instead: true })
  }
  const jobs = [...new Set([...(row?.job_id ? [row.job_id] : []), ...openJobs.value.map(({ id }) => id)])]
  return (
    <Sheet
      over={en.app.joined([own && row ? '' : whoseWords, row ? workWords(row) : ''])}
      title={row ? (runs ? (own ? its.fixRunning : its.fixRunningTheirs) : its.fixTitle) : its.addTitle}
      under={row && [row.doubt && its.doubts[row.doubt], its.fixHint].filter(Boolean).join(' ')}
      back={back}
      dock={<Slab words={its.save} form="time" busy={busy} />}
    >
      <Form id="time" wrong={wrong} onSend={save}>
        {(runs ? (['end', 'start'] as const) : (['start', 'end'] as const)).map((edge) => (
          <Edge key={edge} edge={edge} own={own} fields={fields} wrong={wrong} onValue={put} />
        ))}
        <Field
          label={row ? its.fields.reason : its.fields.reasonAdd}
          value={fields.reason}
          wrong={wrong.reason}
          onValue={(reason) => put({ reason })}
        />
        {row?.kind !== 'rework' && (
          <>
            <Select
              label={its.fields.kind}
              value={fields.kind}
              options={KINDS.map((kind) => [kind, its.kinds[kind]] as const)}
              onValue={(kind) => put({ kind: kind as TimeKind, ...(kind === 'shop' && { job: '' }) })}
            />
            <Select
              label={its.fields.job}
              value={fields.job}
              wrong={wrong.job}
              options={[['', its.noJob], ...jobs.map((id) => [id, jobWords(id)] as const)]}
              onValue={(job) => put({ job })}
            />
          </>
        )}
      </Form>
      {row && (
        <Keys tall>
          <Key wide words={its.drop} hint={its.dropHint} onPress={() => void takeOut(row)} />
        </Keys>
      )}
    </Sheet>
  )
}

function faultOfSpan(
  row: TimeEntry | null,
  member_id: string,
  started_at: Moment,
  ended_at: Moment,
): Partial<Record<keyof Typed, string>> {
  const doubt = doubtAbout(started_at, ended_at, Date.now())
  if (doubt === 'ends_first') return { endTime: its.endsFirst }
  if (doubt === 'in_future') return { endTime: its.inFuture }
  if (doubt === 'too_long') return { endTime: its.tooLong }
  const wanted = { id: row?.id ?? '', member_id, started_at, ended_at, doubt: '' } as const
  const settled = row ? beside(row).map(({ id }) => id) : []
  const taken = beside(wanted, settled)[0]
  if (!taken) return {}
  const what = en.app.joined([workWords(taken), spanWords(taken)])
  return { startTime: isOwn(member_id) ? its.taken(what) : its.takenTheirs(what) }
}

interface EdgeProps {
  edge: 'start' | 'end'
  own: boolean
  fields: Typed
  wrong: Partial<Record<keyof Typed, string>>
  onValue: (changed: Partial<Typed>) => void
}

/** The day and the time at which it began or stopped. */
function Edge({ edge, own, fields, wrong, onValue }: EdgeProps) {
  const day = `${edge}Day` as const
  const time = `${edge}Time` as const
  return (
    <div class="two">
      <Field
        type="time"
        label={edge === 'end' && !own ? its.fields.endTimeTheirs : its.fields[time]}
        value={fields[time]}
        wrong={wrong[time]}
        onValue={(value) => onValue({ [time]: value })}
      />
      <Field
        type="date"
        label={its.fields[day]}
        value={fields[day]}
        onValue={(value) => onValue({ [day]: value })}
      />
    </div>
  )
}
