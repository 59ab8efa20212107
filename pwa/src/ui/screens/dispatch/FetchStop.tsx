import type { Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { geoLink, telLink } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { fetchStops as t } from '../../../domain/words/fetchStops'
import { stopPosition } from '../../../store/dispatch'
import { linesToFetch } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList } from '../../components/Section'
import {
  aboutStop,
  arrivalText,
  driveText,
  placeText,
  stayText,
  windowTexts,
} from '../../features/dispatch/stopText'
import { hoursText } from '../../features/orders/supplierHours'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { Fetched, ToFetch } from './FetchLines'
import { StopDock } from './StopDock'

const stopWords = en.dispatch.stop

/** A stop at a supplier for the driver: where, when, and what is to be fetched, ticked off there. */
export function FetchStop({ row }: { row: Stop }) {
  const { name } = aboutStop(row)
  const lines = linesToFetch(row.supplier_id ?? '')
  const back: Route = row.run_id ? { at: 'run', id: row.run_id } : { at: 'plan' }
  const pending = isPendingStop(row.state)
  const times = arrivalText(row)
  return (
    <ShopPage
      overline={en.app.joined([en.dispatch.kinds[row.kind], en.dispatch.states[row.state]])}
      title={name}
      subtitle={pending && times && <p class="time">{times}</p>}
      back={back}
      dock={
        <StopDock
          row={row}
          handed={false}
          saidLeft={lines.length > 0 ? t.leftOpen(lines.length) : stopWords.saidLeft}
        />
      }
    >
      {pending && <p class="hint">{en.app.joined([stayText(row), driveText(row)])}</p>}
      <SupplierPlace row={row} />
      {row.state === 'left' && lines.length > 0 && <p class="notice">{t.stillOpen(lines.length)}</p>}
      <ToFetch row={row} lines={lines} />
      <Fetched row={row} />
      <StopFacts row={row} />
      {pending && permissions.value.has('drive_runs') && (
        <ButtonRow>
          <Button label={stopWords.change} to={{ at: 'stop-edit', id: row.id }} shortcut="stop.edit" />
          <Button label={stopWords.move} to={{ at: 'stop-move', id: row.id }} shortcut="stop.move" />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

function SupplierPlace({ row }: { row: Stop }) {
  const { supplier } = aboutStop(row)
  const position = stopPosition(row)
  const mayEdit = permissions.value.has('order_parts')
  return (
    <>
      <section class="next-stop">
        <p class="free-text">{placeText(row) || t.noAddress}</p>
        {supplier && hoursText(supplier) && <p class="access-notes">{hoursText(supplier)}</p>}
        {row.notes && <p class="access-notes">{row.notes}</p>}
      </section>
      {!position && <p class="multiline">{t.noPosition}</p>}
      <ButtonRow>
        {position && (
          <Button label={stopWords.navigate} href={geoLink(position)} shortcut="stop.directions" />
        )}
        {supplier?.phone && (
          <Button label={stopWords.call} href={telLink(supplier.phone)} shortcut="stop.call" />
        )}
        {supplier && mayEdit && <Button label={t.setPlace} to={{ at: 'supplier', id: supplier.id }} />}
      </ButtonRow>
    </>
  )
}

function StopFacts({ row }: { row: Stop }) {
  const read = format.value
  return (
    <DescriptionList
      items={[
        [stopWords.window, windowTexts(row).join('\n')],
        [stopWords.promised, row.promised_on && read.weekday(row.promised_on)],
        [stopWords.arrivedAt, row.arrived_at && read.time(row.arrived_at)],
        [stopWords.leftAt, row.left_at && read.time(row.left_at)],
        [
          en.dispatch.states.failed,
          row.failure && en.app.joined([en.dispatch.failures[row.failure], row.failure_note]),
        ],
      ]}
    />
  )
}
