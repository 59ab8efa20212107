import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'

interface Props {
  id: string
  /** What is wrong, by field. When this changes, the first field that is wrong takes the focus. */
  wrong: Readonly<Record<string, string | undefined>>
  onSend: () => void
  children: ComponentChildren
}

/** A form whose faults are pointed at, one after the other. Its slab lies in the dock and sends it by `form`. */
export function Form({ id, wrong, onSend, children }: Props) {
  const form = useRef<HTMLFormElement>(null)
  useEffect(() => {
    if (Object.values(wrong).some(Boolean))
      form.current?.querySelector<HTMLElement>('[aria-invalid]')?.focus()
  }, [wrong])
  return (
    <form
      id={id}
      ref={form}
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        onSend()
      }}
    >
      {children}
    </form>
  )
}
