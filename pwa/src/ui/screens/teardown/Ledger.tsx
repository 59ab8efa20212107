import { type Swap, sizeKey } from '../../../domain/bench/ledger'
import { teardown as t } from '../../../domain/words/teardown'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { ledgerOfRows } from '../../../store/rows/benchRows'
import { teardownOf } from '../../../store/teardown'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { type ById, NeededNew, Open, placeOf, Sizes, sizeOf } from './LedgerParts'
import { torqueText } from './stepName'

/** Every fastener of a job accounted for: what is open, places that are not as they were, likely mix-ups, torque. */
export function Ledger({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const bench = teardownOf(id)
  const ledger = ledgerOfRows(bench)
  const byId: ById = new Map(bench.fasteners.map((each) => [each.id, each]))
  const settled =
    !ledger.places.length && !ledger.torqueOpen.length && ledger.sizes.every(({ open }) => open === 0)
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={t.ledger}
      back={{ at: 'job-put-back', id }}
    >
      {bench.fasteners.length === 0 && <p>{t.noFasteners}</p>}
      {bench.fasteners.length > 0 && settled && <p role="status">{t.settled}</p>}
      <Torque ids={ledger.torqueOpen} byId={byId} />
      <Swaps swaps={ledger.swaps} byId={byId} />
      <Open ledger={ledger} byId={byId} />
      <NeededNew jobId={id} rows={bench.fasteners} />
      <Sizes ledger={ledger} byId={byId} />
    </ShopPage>
  )
}

function Torque({ ids, byId }: { ids: readonly string[]; byId: ById }) {
  if (!ids.length) return null
  return (
    <Section title={t.torqueOpen} end={ids.length} hint={t.torqueOpenHint}>
      <List items={ids} keyOf={String} empty="">
        {(id) => {
          const row = byId.get(id)
          return (
            <ListItem
              to={{ at: 'fastener', id }}
              title={`${row?.count ?? ''} × ${sizeOf(byId, id)}`}
              value={row ? torqueText(row) : ''}
              details={placeOf(byId, id)}
            />
          )
        }}
      </List>
    </Section>
  )
}

function Swaps({ swaps, byId }: { swaps: readonly Swap[]; byId: ById }) {
  if (!swaps.length) return null
  return (
    <Section title={t.swaps} end={swaps.length}>
      <List items={swaps} keyOf={(swap) => Object.values(swap).join()} empty="">
        {(swap) => <ListItem to={{ at: 'fastener', id: swap.extra_at_id }} title={swapText(swap, byId)} />}
      </List>
    </Section>
  )
}

function swapText({ missing_id, extra_id, extra_at_id, count }: Swap, byId: ById): string {
  const [right, wrong] = [byId.get(missing_id), byId.get(extra_id)]
  const [size, other] = [sizeOf(byId, missing_id), sizeOf(byId, extra_id)]
  const [to, from] = [placeOf(byId, missing_id), placeOf(byId, extra_at_id)]
  if (right && wrong && sizeKey(right) === sizeKey(wrong)) return t.swapPlace(count, size, to, from)
  if (missing_id === extra_at_id) return t.swapSize(count, other, size, to)
  return t.swapCount(count, other, from, size, to)
}
