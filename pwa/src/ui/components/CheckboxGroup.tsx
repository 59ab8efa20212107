interface Props<Value extends string> {
  label: string
  values: readonly Value[]
  options: readonly { value: Value; label: string; hint?: string }[]
  onValuesChange: (values: Value[]) => void
  horizontal?: boolean
  error?: string | undefined
}

/** Any number of a few options, all visible. */
export function CheckboxGroup<Value extends string>({
  label,
  values,
  options,
  onValuesChange,
  horizontal,
  error,
}: Props<Value>) {
  return (
    <fieldset class="option-group">
      <legend>{label}</legend>
      {error && <p class="field-error">{error}</p>}
      <div class={horizontal ? 'horizontal' : undefined}>
        {options.map(({ value, label, hint }) => (
          <label class="option" key={value}>
            <input
              type="checkbox"
              value={value}
              checked={values.includes(value)}
              aria-invalid={error ? true : undefined}
              onChange={() =>
                onValuesChange(
                  values.includes(value) ? values.filter((each) => each !== value) : [...values, value],
                )
              }
            />
            <b>{label}</b>
            {hint && <small>{hint}</small>}
          </label>
        ))}
      </div>
    </fieldset>
  )
}
