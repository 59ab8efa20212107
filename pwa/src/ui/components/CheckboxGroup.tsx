import { useId } from 'preact/hooks'
import { describedBy, FieldError } from './FieldError'

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
  const id = useId()
  return (
    <fieldset class="option-group" aria-describedby={error && `${id}-error`}>
      <legend>{label}</legend>
      <FieldError id={`${id}-error`} text={error} />
      <div class={horizontal ? 'horizontal' : undefined}>
        {options.map(({ value, label, hint }) => (
          <label class="option" key={value}>
            <input
              type="checkbox"
              value={value}
              checked={values.includes(value)}
              {...describedBy(`${id}-error`, error)}
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
