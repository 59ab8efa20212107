import type { ComponentChildren } from 'preact'
import { useId } from 'preact/hooks'
import { en } from '../../domain/words'

interface TextFieldProps {
  label: string
  value: string
  onValueChange: (value: string) => void
  hint?: string | undefined
  /** What is wrong and how to put it right; empty when nothing is. */
  error?: string | undefined
  multiline?: boolean
  type?: 'text' | 'tel' | 'email' | 'password' | 'date' | 'time' | 'search'
  /** Shows the keyboard for numbers; the text is parsed by `readNumber` of the shop's formats. */
  decimal?: boolean
  autocomplete?: string
  /** characters: a serial or another number with letters. */
  autocapitalize?: 'words' | 'characters' | 'off'
  /** A number of many characters that is read back whole: it gets smaller rather than cut off. */
  serial?: boolean
  enterKey?: 'next' | 'done' | 'search' | 'go'
}

/** What an empty date or time says: browsers differ in what they draw there, one of them the date of today. */
const UNSET: { readonly [type: string]: string } = { date: en.app.noDate, time: en.app.noTime }

/** A text input with its label inside the box. */
export function TextField(props: TextFieldProps) {
  const id = useId()
  const {
    label,
    value,
    onValueChange,
    hint,
    error,
    multiline,
    type = 'text',
    decimal,
    autocomplete,
    autocapitalize,
    serial,
    enterKey,
  } = props
  const unset = value ? undefined : UNSET[type]
  const shared = {
    id,
    value,
    name: autocomplete ?? id,
    autocomplete: autocomplete ?? 'off',
    ...(autocapitalize === 'characters' && { class: 'serial' }),
    ...(error && { 'aria-invalid': true }),
    ...described(id, { unset, hint, error }),
    onInput: (event: { currentTarget: { value: string } }) => onValueChange(event.currentTarget.value),
  } as const
  return (
    <div class={serial ? 'field serial' : 'field'} data-invalid={error ? '' : undefined}>
      <label for={id}>{label}</label>
      <Note id={id} part="hint" text={hint} />
      <Note id={id} part="unset" text={unset} />
      {multiline ? (
        <textarea {...shared} rows={3} autocapitalize="sentences" />
      ) : (
        <input
          {...shared}
          type={type as 'text'}
          {...(decimal && { inputMode: 'decimal' as const })}
          {...(autocapitalize && { autocapitalize: autocapitalize })}
          {...((autocapitalize === 'off' || autocapitalize === 'characters') && {
            autocorrect: 'off',
            spellcheck: false,
          })}
          {...(enterKey && { enterkeyhint: enterKey })}
        />
      )}
      <span class="field-error" id={`${id}-error`}>
        {error}
      </span>
    </div>
  )
}

const Note = ({ id, part, text }: { id: string; part: string; text: string | undefined }) =>
  text ? (
    <span class={part} id={`${id}-${part}`}>
      {text}
    </span>
  ) : null

/** Names the parts of a field that are there, by which its input is described. */
function described(id: string, parts: { readonly [part: string]: string | undefined }) {
  const there = Object.keys(parts).filter((part) => parts[part])
  return there.length > 0 && { 'aria-describedby': there.map((part) => `${id}-${part}`).join(' ') }
}

interface SelectFieldProps {
  label: ComponentChildren
  value: string
  options: readonly (readonly [value: string, label: string])[]
  onValueChange: (value: string) => void
  error?: string | undefined
}

/** One of many options, where they are too many for a `RadioGroup`. */
export function SelectField({ label, value, options, onValueChange, error }: SelectFieldProps) {
  const id = useId()
  return (
    <div class="field" data-invalid={error ? '' : undefined}>
      <label for={id}>{label}</label>
      <select
        id={id}
        value={value}
        {...(error && { 'aria-invalid': true, 'aria-describedby': `${id}-error` })}
        onChange={(event) => onValueChange(event.currentTarget.value)}
      >
        {options.map(([each, label]) => (
          <option key={each} value={each}>
            {label}
          </option>
        ))}
      </select>
      <span class="field-error" id={`${id}-error`}>
        {error}
      </span>
    </div>
  )
}
