import { type Ledger as LedgerOf, type Swap, sizeKey } from '../../../domain/bench/ledger'
import { placedAt } from '../../../domain/bench/putBackMoves'
import type { Fastener } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { ledgerOfRows } from '../../../store/rows/benchRows'
import { movesOf, teardownOf } from '../../../store/teardown'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { placeName, sizeName, torqueText } from './stepName'

type ById = ReadonlyMap<string, Fastener>

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
      <NeededNew rows={bench.fasteners} />
      <Sizes ledger={ledger} byId={byId} />
    </ShopPage>
  )
}

const sizeOf = (byId: ById, id: string): string => {
  const row = byId.get(id)
  return row ? sizeName(row) : ''
}
const placeOf = (byId: ById, id: string): string => {
  const row = byId.get(id)
  return row ? placeName(row) : ''
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

/** Sizes that do not add up, and places that are not as they were: those stay even where the sizes add up. */
function Open({ ledger, byId }: { ledger: LedgerOf; byId: ById }) {
  const open = ledger.sizes.filter((line) => line.open !== 0)
  return (
    <>
      {open.length > 0 && (
        <Section title={t.openSizes} end={open.length}>
          <List items={open} keyOf={({ fastener_id }) => fastener_id} empty="">
            {(line) => (
              <ListItem
                title={sizeOf(byId, line.fastener_id)}
                value={line.open > 0 ? t.openMore(line.open) : t.tooMany(-line.open)}
                details={t.sizeLine(line)}
              />
            )}
          </List>
        </Section>
      )}
      {ledger.places.length > 0 && (
        <Section title={t.emptyPlaces} end={ledger.places.length} {...(!open.length && { hint: t.balances })}>
          <List items={ledger.places} keyOf={({ fastener_id }) => fastener_id} empty="">
            {({ fastener_id, right, needed, wrong }) => (
              <ListItem
                to={{ at: 'fastener-move', id: fastener_id }}
                title={placeOf(byId, fastener_id)}
                value={t.placeHas(right, needed, wrong)}
                details={sizeOf(byId, fastener_id)}
              />
            )}
          </List>
        </Section>
      )}
    </>
  )
}

/** Fasteners that are used once and not replaced yet. */
function NeededNew({ rows }: { rows: readonly Fastener[] }) {
  const needed = rows.filter((row) => row.one_use && placedAt(row.id, movesOf(row.id)) < row.count)
  if (!needed.length) return null
  return (
    <Section title={t.needNew} end={needed.length}>
      <List items={needed} keyOf={({ id }) => id} empty="">
        {(row) => <ListItem title={`${row.count} × ${sizeName(row)}`} details={placeName(row)} />}
      </List>
    </Section>
  )
}

function Sizes({ ledger, byId }: { ledger: LedgerOf; byId: ById }) {
  if (!ledger.sizes.length) return null
  return (
    <Section title={t.bySize} end={ledger.sizes.length}>
      <List items={ledger.sizes} keyOf={({ fastener_id }) => fastener_id} empty="">
        {(line) => <ListItem title={sizeOf(byId, line.fastener_id)} details={t.sizeLine(line)} />}
      </List>
    </Section>
  )
}
