import { useId } from 'preact/hooks'

interface Props<Value extends string> {
  label: string
  value: Value | null
  options: readonly { value: Value; words: string; hint?: string }[]
  onValue: (value: Value) => void
  across?: boolean
  wrong?: string | undefined
}

/** One of a few, each in sight. */
export function Choice<Value extends string>({
  label,
  value,
  options,
  onValue,
  across,
  wrong,
}: Props<Value>) {
  const name = useId()
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      {wrong && <p class="wrong">{wrong}</p>}
      <div class={across ? 'across' : undefined}>
        {options.map((option) => (
          <label class="pick" key={option.value}>
            <input
              type="radio"
              name={name}
              value={option.value}
              checked={option.value === value}
              aria-invalid={wrong ? true : undefined}
              onChange={() => onValue(option.value)}
            />
            <b>{option.words}</b>
            {option.hint && <small>{option.hint}</small>}
          </label>
        ))}
      </div>
    </fieldset>
  )
}
