import { storedLine } from '../../../domain/billing/collecting'
import type { Invoice, Job } from '../../../domain/contract'
import { storage as t } from '../../../domain/words/storage'
import { linesOfInvoice, putInvoiceLine } from '../../../store/invoices'
import { job } from '../../../store/jobs'
import { tripsToBill } from '../../../store/trips'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { storedDays, tripWords } from '../../features/billing/billedExtras'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'

/** What may be billed on the job of a draft and is on no bill: trips of an unknown length, and storage. */
export function NotBilled({ row }: { row: Invoice }) {
  const about = row.job_id ? job(row.job_id) : undefined
  if (!about || row.kind !== 'invoice') return null
  const stored = storedDays(about)
  const { mode, minor_per_unit, minimum_minor, zones } = row.basis.travel
  const isFree = mode === 'zone' ? !zones.length : !minor_per_unit && !minimum_minor
  const trips = isFree ? [] : tripsToBill(about.id)
  if (!stored && !trips.length) return null
  return (
    <Section title={t.notOnIt}>
      {trips.length > 0 && (
        <List items={trips} keyOf={({ id }) => id} empty="">
          {(stop) => (
            <ListItem
              to={{ at: 'invoice-add', id: row.id, stopId: stop.id }}
              title={tripWords(about, stop)}
              details={mode === 'zone' ? t.tripZone : t.trip}
            />
          )}
        </List>
      )}
      {stored && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.add(format.value.money(stored.amount_minor))}
            hint={`${t.addHint} ${t.localRules}`}
            onPress={() => void saveWithToast(() => addStorage(row, about), t.added)}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

async function addStorage(row: Invoice, about: Job): Promise<void> {
  // Read again: another press may have added it already.
  const stored = storedDays(about)
  if (!stored) return
  const last = Math.max(-1, ...linesOfInvoice(row.id).map(({ position }) => position))
  await putInvoiceLine({ ...storedLine(stored), invoice_id: row.id, position: last + 1 })
}
