import { useId } from 'preact/hooks'

interface Props {
  label: string
  value: string
  onValue: (value: string) => void
  onStep: (direction: 1 | -1) => void
  lessWords: string
  moreWords: string
  hint?: string
  wrong?: string | undefined
}

/** A number with a big key on either side; it can be typed as well. */
export function Stepper({ label, value, onValue, onStep, lessWords, moreWords, hint, wrong }: Props) {
  const id = useId()
  return (
    <div class="stepper">
      <button type="button" class="key" aria-label={lessWords} onClick={() => onStep(-1)}>
        −
      </button>
      <div class="field" data-wrong={wrong ? '' : undefined}>
        <label for={id}>{label}</label>
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autocomplete="off"
          value={value}
          aria-invalid={wrong ? true : undefined}
          aria-describedby={wrong ? `${id}-wrong` : hint ? `${id}-hint` : undefined}
          onInput={(event) => onValue(event.currentTarget.value)}
        />
        {hint && (
          <span class="hint" id={`${id}-hint`}>
            {hint}
          </span>
        )}
      </div>
      <button type="button" class="key" aria-label={moreWords} onClick={() => onStep(1)}>
        +
      </button>
      <span class="wrong" id={`${id}-wrong`}>
        {wrong}
      </span>
    </div>
  )
}
