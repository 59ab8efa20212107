import { useId } from 'preact/hooks'

interface FieldProps {
  label: string
  value: string
  onValue: (value: string) => void
  hint?: string | undefined
  /** What is wrong with it and the way out; empty when nothing is. */
  wrong?: string | undefined
  area?: boolean
  type?: 'text' | 'tel' | 'email' | 'password' | 'date' | 'time' | 'search'
  /** The keyboard a number wants; the text itself is read by the reckoning's own rules. */
  decimal?: boolean
  autocomplete?: string
  capital?: 'words' | 'characters' | 'off'
  enter?: 'next' | 'done' | 'search' | 'go'
}

/** A ruled box with its label inside. */
export function Field(props: FieldProps) {
  const id = useId()
  const {
    label,
    value,
    onValue,
    hint,
    wrong,
    area,
    type = 'text',
    decimal,
    autocomplete,
    capital,
    enter,
  } = props
  const shared = {
    id,
    value,
    name: autocomplete ?? id,
    autocomplete: autocomplete ?? 'off',
    ...(wrong && { 'aria-invalid': true }),
    ...((hint || wrong) && {
      'aria-describedby': [hint && `${id}-hint`, wrong && `${id}-wrong`].filter(Boolean).join(' '),
    }),
    onInput: (event: { currentTarget: { value: string } }) => onValue(event.currentTarget.value),
  } as const
  return (
    <div class="field" data-wrong={wrong ? '' : undefined}>
      <label for={id}>{label}</label>
      {hint && (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {area ? (
        <textarea {...shared} rows={3} autocapitalize="sentences" />
      ) : (
        <input
          {...shared}
          type={type as 'text'}
          {...(decimal && { inputMode: 'decimal' as const })}
          {...(capital && { autocapitalize: capital })}
          {...((capital === 'off' || capital === 'characters') && { autocorrect: 'off', spellcheck: false })}
          {...(enter && { enterkeyhint: enter })}
        />
      )}
      <span class="wrong" id={`${id}-wrong`}>
        {wrong}
      </span>
    </div>
  )
}

interface SelectProps {
  label: string
  value: string
  options: readonly (readonly [value: string, words: string])[]
  onValue: (value: string) => void
  wrong?: string | undefined
}

/** One of many, where there are too many to lay out side by side. */
export function Select({ label, value, options, onValue, wrong }: SelectProps) {
  const id = useId()
  return (
    <div class="field" data-wrong={wrong ? '' : undefined}>
      <label for={id}>{label}</label>
      <select
        id={id}
        value={value}
        {...(wrong && { 'aria-invalid': true, 'aria-describedby': `${id}-wrong` })}
        onChange={(event) => onValue(event.currentTarget.value)}
      >
        {options.map(([each, words]) => (
          <option key={each} value={each}>
            {words}
          </option>
        ))}
      </select>
      <span class="wrong" id={`${id}-wrong`}>
        {wrong}
      </span>
    </div>
  )
}
