import { useState } from 'preact/hooks'
import { instantOf, wallAt } from '../../../domain/clock'
import type { Need, Priority, Stop, StopKind } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { sitesOf } from '../../../store/customers'
import { askStop, dropStop, editStop, stop } from '../../../store/dispatch'
import { job } from '../../../store/jobs'
import { permissions } from '../../../store/session'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Picks } from '../../components/Picks'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { zone } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { jobWords } from '../clock/about'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.dispatch.ask
const NEEDS: readonly Need[] = ['winch', 'ramp', 'two_people']
const PRIORITIES: readonly Priority[] = ['usual', 'soon', 'first']

export function AskStop({ jobId, kind }: { jobId: string; kind: StopKind }) {
  return <StopForm key={`${jobId}${kind}`} jobId={jobId} kind={kind} seen={null} />
}

export function ChangeStop({ id }: { id: string }) {
  const row = stop(id)
  const [seen] = useState(row)
  return row && seen ? <StopForm jobId={row.job_id} kind={row.kind} seen={seen} /> : <Nowhere />
}

interface TypedWindow {
  day: string
  from: string
  to: string
}

interface Typed {
  site: string
  windows: TypedWindow[]
  wait: string
  earliest: string
  promised: string
  needs: Need[]
  minutes: string
  priority: Priority
  daylight: boolean
  urgent: boolean
  notes: string
}

type Wrong = Record<string, string | undefined>

const BLANK: TypedWindow = { day: '', from: '', to: '' }

function typed(seen: Stop | null, site: string, promised: string): Typed {
  const windows = (seen?.windows ?? []).map(({ opens, closes }) => {
    const from = wallAt(zone.value, Date.parse(opens))
    return { day: from.day, from: from.time, to: wallAt(zone.value, Date.parse(closes)).time }
  })
  return {
    site: seen?.site_id ?? site,
    windows: windows.length > 0 ? windows : [BLANK],
    wait: seen?.wait_until ?? '',
    earliest: seen?.earliest_on ?? '',
    promised: seen ? (seen.promised_on ?? '') : promised,
    needs: [...(seen?.needs ?? [])],
    minutes: seen?.service_minutes?.toString() ?? '',
    priority: seen?.priority ?? 'usual',
    daylight: seen?.by_daylight ?? false,
    urgent: false,
    notes: seen?.notes ?? '',
  }
}

/** What is asked for: where, when it may be, what it takes. */
function StopForm({ jobId, kind, seen }: { jobId: string; kind: StopKind; seen: Stop | null }) {
  const row = job(jobId)
  const sites = row ? sitesOf(row.customer_id) : []
  const usual = row?.site_id ?? (sites.length === 1 ? sites[0]?.id : undefined) ?? ''
  const { fields, put, drop } = useDraft<Typed>(
    `stop:${seen?.id ?? `${jobId}:${kind}`}`,
    typed(seen, usual, kind === 'return' ? (row?.promised_on ?? '') : ''),
  )
  const [wrong, setWrong] = useState<Wrong>({})
  const { busy, send } = useSend()
  if (!row) return <Nowhere />
  const back: Place = seen ? { at: 'stop', id: seen.id } : { at: 'job', id: jobId }
  const leave = (to: Place = back) => {
    drop()
    goTo(to, { instead: true })
  }
  const putWindow = (at: number, changed: Partial<TypedWindow>) =>
    put({ windows: fields.windows.map((each, number) => (number === at ? { ...each, ...changed } : each)) })

  function save() {
    const found = faultsOf(fields)
    setWrong(found)
    if (Object.keys(found).length || !row) return
    const wanted = {
      site_id: fields.site,
      windows: fields.windows.filter(isGiven).map(windowOf),
      service_minutes: fields.minutes.trim() ? Number(fields.minutes) : null,
      needs: fields.needs,
      priority: fields.priority,
      earliest_on: fields.earliest || null,
      promised_on: fields.promised || null,
      wait_until: fields.wait || null,
      by_daylight: fields.daylight,
      notes: fields.notes.trim(),
    }
    void send(
      () => (seen ? editStop(seen, wanted) : askStop(row, kind, { ...wanted, urgent: fields.urgent })),
      () => leave(),
      its.saved,
    )
  }

  async function takeOut(gone: Stop) {
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await dropStop(gone)
    })
    if (!saved) return
    tell(its.dropped, undo)
    leave({ at: 'job', id: jobId })
  }
  return (
    <Sheet
      over={jobWords(jobId)}
      title={seen ? its.editTitle : its.titles[kind]}
      back={back}
      dock={
        <Slab
          words={seen ? its.saveEdit : its.save}
          {...(!seen && { hint: its.saveHint })}
          form="stop"
          busy={busy}
        />
      }
    >
      <Form id="stop" wrong={wrong} onSend={save}>
        <Select
          label={its.place}
          value={fields.site}
          wrong={wrong['site']}
          options={[
            ...(fields.site ? [] : [['', its.noPlace] as const]),
            ...sites.map(({ id, label, address }) => [id, en.app.joined([label, address])] as const),
          ]}
          onValue={(site) => put({ site })}
        />
        <Keys tall>
          <Key wide words={its.addPlace} to={{ at: 'customer-site', id: row.customer_id }} />
        </Keys>
        <Part title={its.when} hint={its.whenHint}>
          {fields.windows.map((each, at) => (
            <fieldset key={at} class="window">
              <legend class="unseen">{its.window(at + 1)}</legend>
              <Field
                type="date"
                label={its.day}
                value={each.day}
                wrong={wrong[`window${at}`]}
                onValue={(day) => putWindow(at, { day })}
              />
              <div class="two">
                <Field
                  type="time"
                  label={its.from}
                  value={each.from}
                  onValue={(from) => putWindow(at, { from })}
                />
                <Field type="time" label={its.to} value={each.to} onValue={(to) => putWindow(at, { to })} />
              </div>
              {fields.windows.length > 1 && (
                <Keys tall>
                  <Key
                    wide
                    words={its.dropWindow(at + 1)}
                    onPress={() => put({ windows: fields.windows.filter((_, number) => number !== at) })}
                  />
                </Keys>
              )}
            </fieldset>
          ))}
          <Keys tall>
            {fields.windows.length < 10 && (
              <Key
                wide
                words={its.addWindow}
                onPress={() => put({ windows: [...fields.windows, { ...BLANK }] })}
              />
            )}
          </Keys>
          <div class="two">
            <Field
              type="date"
              label={its.earliest}
              value={fields.earliest}
              onValue={(earliest) => put({ earliest })}
            />
            <Field
              type="date"
              label={its.promised}
              value={fields.promised}
              onValue={(promised) => put({ promised })}
            />
          </div>
          <Field
            type="date"
            label={its.wait}
            hint={its.waitHint}
            value={fields.wait}
            wrong={wrong['wait']}
            onValue={(wait) => put({ wait })}
          />
        </Part>
        <Picks
          label={its.needs}
          values={fields.needs}
          options={NEEDS.map((value) => ({
            value,
            words: en.dispatch.needs[value],
            hint: its.needHints[value],
          }))}
          onValues={(needs) => put({ needs })}
        />
        <Choice
          across
          label={its.priority}
          value={fields.priority}
          options={PRIORITIES.map((value) => ({ value, words: en.dispatch.priorities[value] }))}
          onValue={(priority) => put({ priority })}
        />
        <Choice
          across
          label={its.daylight}
          value={fields.daylight ? 'only' : 'any'}
          options={[
            { value: 'any', words: its.daylightAny },
            { value: 'only', words: its.daylightOnly },
          ]}
          onValue={(value) => put({ daylight: value === 'only' })}
        />
        <Field
          decimal
          label={its.minutes}
          hint={its.minutesHint}
          value={fields.minutes}
          wrong={wrong['minutes']}
          onValue={(minutes) => put({ minutes })}
        />
        <Field area label={its.notes} value={fields.notes} onValue={(notes) => put({ notes })} />
        {!seen && permissions.value.has('drive_runs') && (
          <Keys tall>
            <Key
              wide
              words={its.urgent}
              hint={its.urgentHint}
              pressed={fields.urgent}
              onPress={() => put({ urgent: !fields.urgent })}
            />
          </Keys>
        )}
        {seen && (
          <Keys tall>
            <Key wide words={its.drop} onPress={() => void takeOut(seen)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}

const isGiven = ({ day, from, to }: TypedWindow) => Boolean(day || from || to)

function instant(day: string, time: string): number | null {
  return instantOf(zone.value, { day, time })
}

function windowOf({ day, from, to }: TypedWindow) {
  return { opens: moment(instant(day, from) ?? 0), closes: moment(instant(day, to) ?? 0) }
}

function faultsOf(fields: Typed): Wrong {
  const found: Wrong = {}
  if (!fields.site) found['site'] = its.missingPlace
  fields.windows.forEach((each, at) => {
    if (!isGiven(each)) return
    const opens = instant(each.day, each.from)
    const closes = instant(each.day, each.to)
    if (opens === null || closes === null) found[`window${at}`] = its.windowHalf
    else if (closes <= opens) found[`window${at}`] = its.windowEndsFirst
  })
  if (fields.wait && fields.earliest && fields.wait < fields.earliest) found['wait'] = its.waitEndsFirst
  const minutes = fields.minutes.trim()
  if (minutes && !(/^\d{1,3}$/.test(minutes) && Number(minutes) >= 1 && Number(minutes) <= 720))
    found['minutes'] = its.badMinutes
  return found
}
