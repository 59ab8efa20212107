import type { Kind, Rows } from '../../domain/contract'
import { shopSession } from '../session/shopSession'
import type { IndexedField } from './table'

/** Reading these inside a render or a `computed` keeps it current. Empty while no shop is open. */
export function allOf<K extends Kind>(kind: K): Rows[K][] {
  return shopSession.value?.view.all(kind) ?? []
}

export function byId<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
  return shopSession.value?.view.get(kind, id)
}

export function ownedBy<K extends Kind>(kind: K, field: IndexedField<K>, owner_id: string): Rows[K][] {
  return shopSession.value?.view.where(kind, field, owner_id) ?? []
}

/** Subscribes to every row of these kinds, for what reads them one by one later. */
export function follow(...kinds: readonly Kind[]): void {
  for (const kind of kinds) byId(kind, '')
}

/** Oldest first; ties by version 7 id, the order of creation. */
export function byAge(a: { created_at: string; id: string }, b: { created_at: string; id: string }): number {
  return compare(a.created_at, b.created_at) || compare(a.id, b.id)
}

export function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
