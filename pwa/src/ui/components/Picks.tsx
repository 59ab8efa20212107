interface Props<Value extends string> {
  label: string
  values: readonly Value[]
  options: readonly { value: Value; words: string; hint?: string }[]
  onValues: (values: Value[]) => void
  wrong?: string | undefined
}

/** Any of a few, each in sight. */
export function Picks<Value extends string>({ label, values, options, onValues, wrong }: Props<Value>) {
  return (
    <fieldset class="choice">
      <legend>{label}</legend>
      {wrong && <p class="wrong">{wrong}</p>}
      <div>
        {options.map(({ value, words, hint }) => (
          <label class="pick" key={value}>
            <input
              type="checkbox"
              value={value}
              checked={values.includes(value)}
              aria-invalid={wrong ? true : undefined}
              onChange={() =>
                onValues(
                  values.includes(value) ? values.filter((each) => each !== value) : [...values, value],
                )
              }
            />
            <b>{words}</b>
            {hint && <small>{hint}</small>}
          </label>
        ))}
      </div>
    </fieldset>
  )
}
