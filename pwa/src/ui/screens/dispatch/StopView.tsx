import { geoLink, smsLink, telLink } from '../../../domain/places'
import type { Stop } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { arrive, handOversOf, leave, standsAt, stop } from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { failStop } from '../../../store/trouble'
import { Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row } from '../../components/Rows'
import { goTo, type Place } from '../../router'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { jobWords } from '../clock/about'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Pictures } from '../pictures/Pictures'
import { Sheet } from '../Sheet'
import {
  aboutStop,
  driveWords,
  expectedWords,
  placeWords,
  plannedWords,
  toldWords,
  windowWords,
} from './about'

const its = en.dispatch.stop

/** One stop, as the driver reads it: who, when, how to get in, and one tap for what happens there. */
export function StopView({ id }: { id: string }) {
  const row = stop(id)
  if (!row) return <Nowhere />
  const { owner, machine, site, name } = aboutStop(row)
  const read = figures.value
  const back: Place = row.run_id ? { at: 'run', id: row.run_id } : { at: 'job', id: row.job_id }
  const position = standsAt(row)
  const over = handOversOf(id)
  const expected = expectedWords(row)
  const times = plannedWords(row) || expected
  const around = en.app.joined([
    driveWords(row),
    plannedWords(row) && expected ? its.expected(expected) : undefined,
  ])
  return (
    <Sheet
      over={en.app.joined([en.dispatch.kinds[row.kind], en.dispatch.states[row.state]])}
      title={name}
      under={isAhead(row.state) && times && <p class="when">{times}</p>}
      back={back}
      dock={<Main row={row} handed={over.length > 0} />}
    >
      {toldWords(row) && (
        <p class="lines">
          <b>{toldWords(row)}</b>
        </p>
      )}
      {isAhead(row.state) && around && <p class="hint">{around}</p>}
      <section class="next">
        <p class="said">{placeWords(row) || en.dispatch.noSite}</p>
        {row.from_rig_id === null && <p class="access">{site?.access_notes || its.noAccess}</p>}
        {row.notes && <p class="access">{row.notes}</p>}
      </section>
      {!position && <p class="lines">{its.noPosition}</p>}
      <Keys>
        {position && <Key words={its.navigate} href={geoLink(position)} />}
        {owner?.phone && <Key words={its.call} href={telLink(owner.phone)} />}
        {owner?.phone && <Key words={its.message} href={smsLink(owner.phone, '')} />}
        {isAhead(row.state) && permissions.value.has('drive_runs') && (
          <Key words={its.told} to={{ at: 'stop-tell', id }} />
        )}
        {!position && site && row.from_rig_id === null && (
          <Key words={its.setPosition} to={{ at: 'site-edit', id: site.id }} />
        )}
      </Keys>
      {!owner?.phone && <p class="hint">{its.noPhone}</p>}
      <Facts
        facts={[
          [its.machine, machineName(machine)],
          [its.needs, en.app.listed(row.needs.map((need) => en.dispatch.needs[need]))],
          [its.window, windowWords(row).join('\n')],
          [its.promised, row.promised_on && read.weekday(row.promised_on)],
          [its.wait, row.wait_until && read.weekday(row.wait_until)],
          [its.arrivedAt, row.arrived_at && read.time(row.arrived_at)],
          [its.leftAt, row.left_at && read.time(row.left_at)],
          [
            en.dispatch.states.failed,
            row.failure && en.app.joined([en.dispatch.failures[row.failure], row.failure_note]),
          ],
        ]}
      />
      {over.length > 0 && (
        <Part title={its.handedOver}>
          {over.map((each) => (
            <Row
              key={each.id}
              to={{ at: 'stop-handed', id }}
              lead={each.signer_name || its.handedOver}
              also={read.moment(each.at)}
            />
          ))}
        </Part>
      )}
      {row.state === 'failed' && permissions.value.has('drive_runs') && (
        <Keys>
          <Key words={its.why} to={{ at: 'stop-fail', id }} />
        </Keys>
      )}
      <Pictures about_kind="stop" about_id={id} />
      <Row lead={jobWords(row.job_id)} also={its.plain} to={{ at: 'job', id: row.job_id }} />
      {isAhead(row.state) && permissions.value.has('drive_runs') && (
        <Keys>
          <Key words={its.change} to={{ at: 'stop-edit', id }} />
          <Key words={its.move} to={{ at: 'stop-move', id }} />
        </Keys>
      )}
    </Sheet>
  )
}

/** What comes next at this stop, under the thumb; what else may happen beside it. */
function Main({ row, handed }: { row: Stop; handed: boolean }) {
  if (!permissions.value.has('drive_runs')) return null
  const fail = (
    <>
      <Key words={its.nobody} onPress={() => void nobody()} />
      <Key words={its.failed} to={{ at: 'stop-fail', id: row.id }} />
    </>
  )
  async function nobody() {
    const saved = await stamp(() => failStop(row.id, 'nobody_home'), its.nobodyHint)
    if (saved && row.run_id) goTo({ at: 'run', id: row.run_id }, { instead: true })
  }
  async function stamp(how: typeof arrive, words: string): Promise<boolean> {
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await how(row)
    })
    if (saved) tell(words, undo)
    return saved
  }
  async function gone() {
    const saved = await stamp(leave, its.saidLeft)
    if (saved && row.run_id) goTo({ at: 'run', id: row.run_id }, { instead: true })
  }
  if (isAhead(row.state))
    return (
      <>
        <Keys>{fail}</Keys>
        <Slab
          words={its.arrived}
          hint={its.arrivedHint}
          onPress={() => void stamp(arrive, its.saidArrived)}
        />
      </>
    )
  if (row.state !== 'arrived') return null
  if (row.kind !== 'visit' && !handed)
    return (
      <>
        <Keys>
          <Key words={its.left} onPress={() => void gone()} />
          {fail}
        </Keys>
        <Slab words={its.handOver} hint={en.dispatch.kinds[row.kind]} to={{ at: 'stop-hand', id: row.id }} />
      </>
    )
  return (
    <>
      <Keys>{fail}</Keys>
      <Slab words={its.left} hint={its.leftHint} onPress={() => void gone()} />
    </>
  )
}
