import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'
import { unbroken } from './unbroken'

/** A section of a page with its heading. */
export function Section({
  title,
  end,
  hint,
  children,
}: {
  title: string
  /** A count or a sum, at the end of the heading. */
  end?: string | number | undefined
  hint?: string
  children: ComponentChildren
}) {
  const id = useId()
  return (
    <section class="section" aria-labelledby={id}>
      <h2 id={id}>
        {title}
        {end !== undefined && <span> {end}</span>}
      </h2>
      {hint && <p class="hint">{hint}</p>}
      {children}
    </section>
  )
}

/** A job or quote number, or an amount, that must not be misread. */
export function Badge({ text, small }: { text: string; small?: string }) {
  return (
    <p class="badge serial">
      {text}
      {small && <small>{small}</small>}
    </p>
  )
}

export function Caution({ text }: { text: string }) {
  return (
    <p class="caution" role="note">
      {text}
    </p>
  )
}

/** Names with their values; empty values are left out. */
export function DescriptionList({
  items,
}: {
  items: readonly (readonly [name: string, value: ComponentChildren])[]
}) {
  const known = items.filter(([, value]) => value)
  if (!known.length) return null
  return (
    <dl class="description-list">
      {known.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{unbroken(value)}</dd>
        </div>
      ))}
    </dl>
  )
}
