interface Props {
  id: string
  text: string | undefined
}

/** What is wrong with a group of choices, pictures or a signature; `describedBy` ties it to what it is about. */
export function FieldError({ id, text }: Props) {
  return text ? (
    <p class="field-error" id={id}>
      {text}
    </p>
  ) : null
}

/** The attributes of what an error is about; `id` is that of its `FieldError`. */
export const describedBy = (id: string, error: string | undefined) =>
  error ? ({ 'aria-invalid': true, 'aria-describedby': id } as const) : {}
