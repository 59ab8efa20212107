import { useId } from 'preact/hooks'
import { describedBy, FieldError } from './FieldError'

interface Props<Value extends string> {
  label: string
  value: Value | null
  options: readonly { value: Value; label: string; hint?: string }[]
  onValueChange: (value: Value) => void
  horizontal?: boolean
  error?: string | undefined
}

/** One of a few options, all visible. */
export function RadioGroup<Value extends string>({
  label,
  value,
  options,
  onValueChange,
  horizontal,
  error,
}: Props<Value>) {
  const name = useId()
  return (
    <fieldset class="option-group" aria-describedby={error && `${name}-error`}>
      <legend>{label}</legend>
      <FieldError id={`${name}-error`} text={error} />
      <div class={horizontal ? 'horizontal' : undefined}>
        {options.map((option) => (
          <label class="option" key={option.value}>
            <input
              type="radio"
              name={name}
              value={option.value}
              checked={option.value === value}
              {...describedBy(`${name}-error`, error)}
              onChange={() => onValueChange(option.value)}
            />
            <b>{option.label}</b>
            {option.hint && <small>{option.hint}</small>}
          </label>
        ))}
      </div>
    </fieldset>
  )
}

interface BooleanRadioGroupProps {
  label: string
  value: boolean
  /** In display order. */
  options: readonly (readonly [value: boolean, label: string])[]
  onValueChange: (value: boolean) => void
  horizontal?: boolean
  error?: string | undefined
}

/** A choice between two options, such as yes and no. */
export function BooleanRadioGroup({ value, options, onValueChange, ...rest }: BooleanRadioGroupProps) {
  return (
    <RadioGroup
      {...rest}
      value={value ? 'yes' : 'no'}
      options={options.map(([each, label]) => ({ value: each ? 'yes' : 'no', label }))}
      onValueChange={(chosen) => onValueChange(chosen === 'yes')}
    />
  )
}
