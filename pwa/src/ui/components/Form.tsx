import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'

interface Props {
  id: string
  /** What is wrong, by field. When this changes, the first invalid field takes the focus. */
  errors: Readonly<Record<string, string | undefined>>
  onSubmit: () => void
  children: ComponentChildren
}

/** A form that moves the focus to its first error. Its button is in the dock and submits it by the `form` attribute. */
export function Form({ id, errors, onSubmit, children }: Props) {
  const form = useRef<HTMLFormElement>(null)
  useEffect(() => {
    if (Object.values(errors).some(Boolean))
      form.current?.querySelector<HTMLElement>('[aria-invalid]')?.focus()
  }, [errors])
  return (
    <form
      id={id}
      ref={form}
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        onSubmit()
      }}
    >
      {children}
    </form>
  )
}
