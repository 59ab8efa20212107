import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { en } from '../../domain/words'
import { type Place, pathTo } from '../router'

const FIRST = 60

interface RowProps {
  lead: ComponentChildren
  also?: ComponentChildren
  figure?: string | undefined
  to?: Place
  onPress?: () => void
}

/** One line of a list: what it is, a figure, and what else is known. */
export function Row({ lead, also, figure, to, onPress }: RowProps) {
  const inside = (
    <>
      <span class="lead">{lead}</span>
      {figure && <span class="figure">{figure}</span>}
      {also && <span class="also">{also}</span>}
    </>
  )
  if (to)
    return (
      <a class="row" href={pathTo(to)}>
        {inside}
      </a>
    )
  if (onPress)
    return (
      <button type="button" class="row" onClick={onPress}>
        {inside}
      </button>
    )
  return <div class="row">{inside}</div>
}

interface RowsProps<Item> {
  items: readonly Item[] | undefined
  failed?: boolean
  onRetry?: () => void
  empty: string
  emptyHint?: string
  keyOf: (item: Item) => string
  children: (item: Item) => ComponentChildren
}

/** A list with its states: being read (`items` undefined), failed, empty, and the first sixty with more on asking. */
export function Rows<Item>({ items, failed, onRetry, empty, emptyHint, keyOf, children }: RowsProps<Item>) {
  const [shown, setShown] = useState(FIRST)
  if (failed)
    return (
      <div class="blank" role="alert">
        <b>{en.app.failed}</b>
        {onRetry && (
          <button type="button" class="key" onClick={onRetry}>
            {en.app.tryAgain}
          </button>
        )}
      </div>
    )
  if (!items) return <p class="blank">{en.app.loading} …</p>
  if (!items.length)
    return (
      <div class="blank">
        {emptyHint ? <b>{empty}</b> : empty}
        {emptyHint && <p>{emptyHint}</p>}
      </div>
    )
  return (
    <>
      <ul class="rows">
        {items.slice(0, shown).map((item) => (
          <li key={keyOf(item)}>{children(item)}</li>
        ))}
      </ul>
      {items.length > shown && (
        <button type="button" class="key wide" onClick={() => setShown(shown + FIRST)}>
          {en.app.more(Math.min(FIRST, items.length - shown))}
        </button>
      )}
    </>
  )
}
