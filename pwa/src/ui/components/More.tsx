import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'

interface Props {
  label: string
  /** What is in it, by name. */
  names: string
  /** One of its fields is invalid: it opens, so that the field can take the focus. */
  invalid: boolean
  children: ComponentChildren
}

/** The fields of a form that are seldom needed, behind one row that names them. */
export function More({ label, names, invalid, children }: Props) {
  const [opened, setOpened] = useState(false)
  return (
    <details class="more" open={opened || invalid} onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>
        <b>{label}</b>
        <small>{names}</small>
      </summary>
      {children}
    </details>
  )
}
