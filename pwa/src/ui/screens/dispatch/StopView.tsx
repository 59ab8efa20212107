import type { Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { geoLink, smsLink, telLink } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { handOversOf, isJobStop, type JobStop, stop, stopPosition } from '../../../store/dispatch'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { jobText } from '../../features/clock/timeEntryText'
import {
  aboutStop,
  arrivalText,
  driveText,
  placeText,
  promisedText,
  stayText,
  windowTexts,
} from '../../features/dispatch/stopText'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { FetchStop } from './FetchStop'
import { KeepPosition } from './KeepPosition'
import { StopDock } from './StopDock'

const t = en.dispatch.stop

/** One stop for the driver: customer, time, access, and the actions. */
export function StopView({ id }: { id: string }) {
  const row = stop(id)
  if (!row) return <NotFound />
  return isJobStop(row) ? <JobStopView row={row} /> : <FetchStop row={row} />
}

function JobStopView({ row }: { row: JobStop }) {
  const { id } = row
  const { name } = aboutStop(row)
  const read = format.value
  const back: Route = row.run_id ? { at: 'run', id: row.run_id } : { at: 'job', id: row.job_id }
  const over = handOversOf(id)
  const times = arrivalText(row)
  const around = en.app.joined([stayText(row), driveText(row)])
  return (
    <ShopPage
      overline={en.app.joined([en.dispatch.kinds[row.kind], en.dispatch.states[row.state]])}
      title={name}
      subtitle={isPendingStop(row.state) && times && <p class="time">{times}</p>}
      back={back}
      dock={<StopDock row={row} handed={over.length > 0} />}
    >
      {promisedText(row) && (
        <p class="multiline">
          <b>{promisedText(row)}</b>
        </p>
      )}
      {isPendingStop(row.state) && around && <p class="hint">{around}</p>}
      <StopAddress row={row} />
      <StopFacts row={row} />
      {over.length > 0 && (
        <Section title={t.handedOver}>
          {over.map((each) => (
            <ListItem
              key={each.id}
              to={{ at: 'stop-hand-over-record', id }}
              title={each.signer_name || t.handedOver}
              details={read.moment(each.at)}
            />
          ))}
        </Section>
      )}
      {row.state === 'failed' && permissions.value.has('drive_runs') && (
        <ButtonRow>
          <Button label={t.why} to={{ at: 'stop-fail', id }} />
        </ButtonRow>
      )}
      <Pictures about_kind="stop" about_id={id} />
      <ListItem title={jobText(row.job_id)} details={t.plain} to={{ at: 'job', id: row.job_id }} />
      {isPendingStop(row.state) && permissions.value.has('drive_runs') && (
        <ButtonRow>
          <Button label={t.change} to={{ at: 'stop-edit', id }} shortcut="stop.edit" />
          <Button label={t.move} to={{ at: 'stop-move', id }} shortcut="stop.move" />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

/** Address and access notes, with links for navigation, calls and messages. */
function StopAddress({ row }: { row: Stop }) {
  const { customer, site } = aboutStop(row)
  const position = stopPosition(row)
  return (
    <>
      <section class="next-stop">
        <p class="free-text">{placeText(row) || en.dispatch.noSite}</p>
        {row.from_rig_id === null && <p class="access-notes">{site?.access_notes || t.noAccess}</p>}
        {row.notes && <p class="access-notes">{row.notes}</p>}
      </section>
      {!position && <p class="multiline">{t.noPosition}</p>}
      <ButtonRow>
        {position && <Button label={t.navigate} href={geoLink(position)} shortcut="stop.directions" />}
        {customer?.phone && <Button label={t.call} href={telLink(customer.phone)} shortcut="stop.call" />}
        {customer?.phone && (
          <Button label={t.message} href={smsLink(customer.phone, '')} shortcut="stop.text" />
        )}
        {isPendingStop(row.state) && permissions.value.has('drive_runs') && (
          <Button label={t.onMyWay} to={{ at: 'stop-arrival', id: row.id }} shortcut="stop.tell" />
        )}
        {site && row.from_rig_id === null && (
          <Button
            label={position ? t.correctPlace : t.setPosition}
            to={{ at: 'site-edit', id: site.id, stopId: row.id }}
            shortcut="stop.place"
          />
        )}
      </ButtonRow>
      {!customer?.phone && <p class="hint">{t.noPhone}</p>}
      {row.state !== 'dropped' && <KeepPosition row={row} site={site} />}
    </>
  )
}

/** Facts and outcome of the stop. */
function StopFacts({ row }: { row: Stop }) {
  const read = format.value
  const { machine } = aboutStop(row)
  return (
    <DescriptionList
      items={[
        [t.machine, machineName(machine)],
        [t.needs, en.app.listed(row.needs.map((need) => en.dispatch.needs[need]))],
        [t.window, windowTexts(row).join('\n')],
        [t.promised, row.promised_on && read.weekday(row.promised_on)],
        [t.wait, row.wait_until && read.weekday(row.wait_until)],
        [t.arrivedAt, row.arrived_at && read.time(row.arrived_at)],
        [t.leftAt, row.left_at && read.time(row.left_at)],
        [
          en.dispatch.states.failed,
          row.failure && en.app.joined([en.dispatch.failures[row.failure], row.failure_note]),
        ],
      ]}
    />
  )
}
