import { useId } from 'preact/hooks'
import { reader } from '../reader'
import { describedBy, FieldError } from './FieldError'

export type Answer = 'yes' | 'no'

interface Props {
  title: string
  amount: string
  /** How the amount is calculated. */
  price?: string | undefined
  /** What it consists of, opened on wish. */
  parts?: readonly string[]
  /** What changed of it since it was answered before. */
  change?: string | undefined
  /** That it keeps the answer given before. */
  kept?: string | undefined
  /** What must be known before saying yes to this alone. */
  warning?: string | undefined
  details?: string | undefined
  /** The finding that this work repairs. */
  finding?: string | undefined
  /** The price if it is done at a later visit. */
  laterPrice?: string | undefined
  id?: string
  error?: string | undefined
  answer: Answer | null
  onAnswer: (answer: Answer) => void
}

/** One question of a quote shown to the customer, with yes and no of equal size. */
export function LineDecision({
  title,
  amount,
  price,
  parts = [],
  change,
  kept,
  warning,
  details,
  finding,
  laterPrice,
  id,
  error,
  answer,
  onAnswer,
}: Props) {
  const t = reader.value.quote
  return (
    <article class="line-decision" id={id} data-answer={answer ?? undefined}>
      <div class="line-heading">
        <h3>{title}</h3>
        <b>{amount}</b>
      </div>
      {change && (
        <p>
          <b>{change}</b>
        </p>
      )}
      {kept && <p class="hint">{kept}</p>}
      {price && <p>{price}</p>}
      {laterPrice && <p>{t.later(laterPrice)}</p>}
      {finding && <p class="free-text">{t.found(finding)}</p>}
      {details && <p class="free-text">{details}</p>}
      {parts.length > 0 && (
        <details>
          <summary>{t.parts}</summary>
          {parts.map((part) => (
            <p key={part}>{part}</p>
          ))}
        </details>
      )}
      {warning && (
        <p>
          <b>{warning}</b>
        </p>
      )}
      <YesNo title={title} error={error} answer={answer} onAnswer={onAnswer} />
    </article>
  )
}

/** Both answers, of equal size. */
function YesNo({ title, error, answer, onAnswer }: Pick<Props, 'title' | 'error' | 'answer' | 'onAnswer'>) {
  const t = reader.value.quote
  const at = useId()
  return (
    <>
      <FieldError id={at} text={error} />
      <div class="decision-buttons">
        <button
          type="button"
          class="button"
          {...describedBy(at, error)}
          aria-pressed={answer === 'yes'}
          aria-label={t.yesTo(title)}
          onClick={() => onAnswer('yes')}
        >
          {answer === 'yes' ? t.saidYes : t.yes}
        </button>
        <button
          type="button"
          class="button"
          {...describedBy(at, error)}
          aria-pressed={answer === 'no'}
          aria-label={t.noTo(title)}
          onClick={() => onAnswer('no')}
        >
          {answer === 'no' ? t.saidNo : t.no}
        </button>
      </div>
    </>
  )
}
