import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { en } from '../../domain/words'
import { buildPath, type Route } from '../router'
import { unbroken } from './unbroken'

const PAGE_SIZE = 60

interface ListItemProps {
  title: ComponentChildren
  details?: ComponentChildren
  value?: ComponentChildren
  to?: Route
  onPress?: () => void
}

/** One item of a list: a title, a value at the end, and details below. */
export function ListItem({ title, details, value, to, onPress }: ListItemProps) {
  const inside = (
    <>
      <span class="title">{unbroken(title)}</span>
      {value && <span class="value">{value}</span>}
      {details && <span class="details">{unbroken(details)}</span>}
    </>
  )
  if (to)
    return (
      <a class="list-item" href={buildPath(to)}>
        {inside}
      </a>
    )
  if (onPress)
    return (
      <button type="button" class="list-item" onClick={onPress}>
        {inside}
      </button>
    )
  return <div class="list-item">{inside}</div>
}

/** An item whose actions appear when it is opened. */
export function OpeningItem({
  title,
  details,
  value,
  children,
}: Pick<ListItemProps, 'title' | 'details' | 'value'> & { children: ComponentChildren }) {
  return (
    <details>
      <summary class="list-item">
        <span class="title">{unbroken(title)}</span>
        {value && <span class="value">{value}</span>}
        {details && <span class="details">{unbroken(details)}</span>}
      </summary>
      {children}
    </details>
  )
}

interface ListProps<Item> {
  items: readonly Item[] | undefined
  failed?: boolean
  onRetry?: () => void
  empty: string
  emptyHint?: string
  keyOf: (item: Item) => string
  /** How many are shown at first. */
  most?: number
  children: (item: Item) => ComponentChildren
}

/** A list with its states: loading (`items` undefined), failed, empty, and sixty items at a time. */
export function List<Item>({
  items,
  failed,
  onRetry,
  empty,
  emptyHint,
  keyOf,
  most,
  children,
}: ListProps<Item>) {
  const [shown, setShown] = useState(most ?? PAGE_SIZE)
  if (failed)
    return (
      <div class="empty-state" role="alert">
        <b>{en.app.failed}</b>
        {onRetry && (
          <button type="button" class="button" onClick={onRetry}>
            {en.app.tryAgain}
          </button>
        )}
      </div>
    )
  if (!items) return <p class="empty-state">{en.app.loading} …</p>
  if (!items.length)
    return (
      <div class="empty-state">
        {emptyHint ? <b>{empty}</b> : empty}
        {emptyHint && <p>{emptyHint}</p>}
      </div>
    )
  return (
    <>
      <ul class="list">
        {items.slice(0, shown).map((item) => (
          <li key={keyOf(item)}>{children(item)}</li>
        ))}
      </ul>
      {items.length > shown && (
        <button type="button" class="button wide" onClick={() => setShown(shown + PAGE_SIZE)}>
          {en.app.more(Math.min(PAGE_SIZE, items.length - shown))}
        </button>
      )}
    </>
  )
}
