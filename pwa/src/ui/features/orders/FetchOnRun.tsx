import type { Run } from '../../../domain/contract'
import { fetchStops as t } from '../../../domain/words/fetchStops'
import { run, runsOn } from '../../../store/dispatch'
import { permissions, session } from '../../../store/session/session'
import { fetchAtSupplier, fetchStopAt } from '../../../store/supplierStops'
import { supplier } from '../../../store/suppliers'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { format, today } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { rigName } from '../dispatch/stopText'

/** Adds a stop at a supplier to a run of today, or asks for one; where there is one, it leads there. */
export function FetchOnRun({ supplierId }: { supplierId: string }) {
  if (!permissions.value.has('drive_runs') || !supplier(supplierId)) return null
  const known = fetchStopAt(supplierId)
  if (known) {
    const on = known.run_id === null ? undefined : run(known.run_id)
    return (
      <ListItem
        to={{ at: 'stop', id: known.id }}
        title={t.fetch}
        details={on ? t.planned(format.value.weekday(on.day)) : t.waiting}
      />
    )
  }
  const runs = runsOn(today()).filter(({ state }) => state === 'planned' || state === 'driving')
  const own = runs.filter(({ driver_id }) => driver_id !== null && driver_id === session.value.member?.id)
  const others = runs.filter((row) => !own.includes(row))
  return (
    <ButtonRow stacked>
      {[...own, ...others].map((row) => (
        <Button
          key={row.id}
          wide
          label={own.includes(row) ? t.onOwnRun : t.onRun(rigName(row.rig_id))}
          onPress={() => void add(supplierId, row)}
        />
      ))}
      <Button wide label={runs.length > 0 ? t.later : t.fetch} onPress={() => void add(supplierId, null)} />
    </ButtonRow>
  )
}

async function add(supplierId: string, row: Run | null): Promise<void> {
  let undo = async () => {}
  const saved = await saveWithToast(async () => {
    undo = await fetchAtSupplier(supplierId, row)
  })
  if (saved) showToast(t.added(supplier(supplierId)?.name ?? ''), undo)
}
