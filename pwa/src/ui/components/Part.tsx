import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'

/** A part of the ticket under its printed tab. */
export function Part({
  title,
  hint,
  children,
}: {
  title: string
  hint?: string
  children: ComponentChildren
}) {
  const id = useId()
  return (
    <section class="part" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {hint && <p class="hint">{hint}</p>}
      {children}
    </section>
  )
}

/** A mark or a sum that must not be misread. */
export function Plate({ words, small }: { words: string; small?: string }) {
  return (
    <p class="plate">
      {words}
      {small && <small>{small}</small>}
    </p>
  )
}

export function Caution({ words }: { words: string }) {
  return (
    <p class="caution" role="note">
      {words}
    </p>
  )
}

/** Names and what stands beside them; what is empty is left out. */
export function Facts({
  facts,
}: {
  facts: readonly (readonly [name: string, words: string | null | undefined])[]
}) {
  const known = facts.filter(([, words]) => words)
  if (!known.length) return null
  return (
    <dl class="facts">
      {known.map(([name, words]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{words}</dd>
        </div>
      ))}
    </dl>
  )
}
