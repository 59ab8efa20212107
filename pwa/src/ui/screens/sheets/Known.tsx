import type { Job, Machine } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { sheets as t } from '../../../domain/words/sheets'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { More } from '../../components/More'
import { Section } from '../../components/Section'
import { KeepForNext } from '../../features/sheets/KeepForNext'
import { type Keepable, keepableFasteners, keepableOf } from '../../features/sheets/keptOfJob'
import { SheetsOfMachine } from '../../features/sheets/SheetRow'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'

/** What the shop knows of a machine. */
export function KnownOfMachine({ id }: { id: string }) {
  const row = machine(id)
  if (!row) return <NotFound />
  return (
    <ShopPage overline={machineName(row)} title={t.known.title} back={{ at: 'machine', id }}>
      <SheetsOfMachine machine={row} />
      <ButtonRow stacked>
        <Button wide label={t.known.newSheet} to={{ at: 'new-sheet', machineId: id }} />
      </ButtonRow>
    </ShopPage>
  )
}

/** What the shop knows of the machine of a job, and what of the job can be kept for the next one. */
export function KnownOfJob({ id }: { id: string }) {
  const row = job(id)
  const known = machine(row?.machine_id ?? '')
  if (!row || !known) return <NotFound />
  return (
    <ShopPage overline={machineName(known)} title={t.known.title} back={{ at: 'job-bench', id }}>
      <SheetsOfMachine machine={known} />
      <KeepFromJob row={row} machine={known} />
      <ButtonRow stacked>
        <Button wide label={t.known.newSheet} to={{ at: 'new-sheet', machineId: known.id }} />
      </ButtonRow>
    </ShopPage>
  )
}

/** One press each: work with its clocked hours, findings as lessons, the order of putting back, fasteners. */
function KeepFromJob({ row, machine: of }: { row: Job; machine: Machine }) {
  const some = keepableOf(row.id)
  const fasteners = keepableFasteners(row.id)
  if (!some.length && !fasteners.length) return null
  const from = { machine: of, job_mark: shownName(row) }
  const keys = (items: readonly Keepable[]) => (
    <ButtonRow stacked>
      {items.map(({ id, ...each }) => (
        <KeepForNext key={id} from={from} {...each} />
      ))}
    </ButtonRow>
  )
  return (
    <Section title={t.keepFromJob} hint={t.keepHint}>
      {keys(some)}
      {fasteners.length > 0 && (
        <More label={t.entries.fastener} names={String(fasteners.length)} invalid={false}>
          {keys(fasteners)}
        </More>
      )}
    </Section>
  )
}
