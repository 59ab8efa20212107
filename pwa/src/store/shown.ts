import type { Kind, Rows } from '../domain/rows'
import { opened } from './opened'
import type { Belonging } from './table'

/** Reading these inside a render or a `computed` keeps it current. Empty while no shop is open. */
export function all<K extends Kind>(kind: K): Rows[K][] {
  return opened.value?.view.all(kind) ?? []
}

export function one<K extends Kind>(kind: K, id: string): Rows[K] | undefined {
  return opened.value?.view.get(kind, id)
}

export function of<K extends Kind>(kind: K, field: Belonging<K>, owner: string): Rows[K][] {
  return opened.value?.view.where(kind, field, owner) ?? []
}

/** Oldest first; version 7 ids break a tie in the order they were minted. */
export function byAge(a: { created_at: string; id: string }, b: { created_at: string; id: string }): number {
  return compare(a.created_at, b.created_at) || compare(a.id, b.id)
}

export function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
