import type { ComponentChildren } from 'preact'

/**
 * Content that a tablet shows in two columns, a phone one below the other: in the same order for everyone, all of the first,
 * then all of the second. The page has the variant `wide`.
 */
export function Columns({ first, second }: { first: ComponentChildren; second: ComponentChildren }) {
  return (
    <div class="columns">
      <div>{first}</div>
      <div>{second}</div>
    </div>
  )
}
