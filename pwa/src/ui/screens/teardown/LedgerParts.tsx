import type { Ledger } from '../../../domain/bench/ledger'
import { placedAt } from '../../../domain/bench/putBackMoves'
import type { Fastener } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { movesOf } from '../../../store/teardown'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { placeName, sizeName } from './stepName'

export type ById = ReadonlyMap<string, Fastener>

export const sizeOf = (byId: ById, id: string): string => {
  const row = byId.get(id)
  return row ? sizeName(row) : ''
}
export const placeOf = (byId: ById, id: string): string => {
  const row = byId.get(id)
  return row ? placeName(row) : ''
}

/** Sizes that do not add up, and places that are not as they were: those stay even where the sizes add up. */
export function Open({ ledger, byId }: { ledger: Ledger; byId: ById }) {
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
export function NeededNew({ jobId, rows }: { jobId: string; rows: readonly Fastener[] }) {
  const needed = rows.filter((row) => row.one_use && placedAt(row.id, movesOf(row.id)) < row.count)
  if (!needed.length) return null
  return (
    <Section title={t.needNew} end={needed.length}>
      <List items={needed} keyOf={({ id }) => id} empty="">
        {(row) => (
          <ListItem
            to={{ at: 'new-part', id: jobId, words: sizeName(row), quantity: String(row.count) }}
            title={`${row.count} × ${sizeName(row)}`}
            details={placeName(row)}
            value={t.toPartsList}
          />
        )}
      </List>
    </Section>
  )
}

/** Sizes that add up; the others stand under what is open. */
export function Sizes({ ledger, byId }: { ledger: Ledger; byId: ById }) {
  const even = ledger.sizes.filter((line) => line.open === 0)
  if (!even.length) return null
  return (
    <Section title={t.bySize} end={even.length}>
      <List items={even} keyOf={({ fastener_id }) => fastener_id} empty="">
        {(line) => <ListItem title={sizeOf(byId, line.fastener_id)} details={t.sizeLine(line)} />}
      </List>
    </Section>
  )
}
