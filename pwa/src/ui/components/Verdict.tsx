import { en } from '../../domain/words'

export type Answer = 'yes' | 'no'

interface Props {
  words: string
  amount: string
  /** How the amount comes about. */
  price?: string | undefined
  also?: string | undefined
  /** What was found that this mends. */
  found?: string | undefined
  /** What it comes to if it is done later. */
  later?: string | undefined
  id?: string
  answer: Answer | null
  onAnswer: (answer: Answer) => void
}

/** One line laid before the owner, with yes and no of one size. */
export function Verdict({ words, amount, price, also, found, later, id, answer, onAnswer }: Props) {
  return (
    <article class="offered" id={id}>
      <div class="what">
        <h3>{words}</h3>
        <b>{amount}</b>
      </div>
      {price && <p>{price}</p>}
      {later && <p>{en.quote.owner.later(later)}</p>}
      {found && <p>{en.quote.owner.found(found)}</p>}
      {also && <p>{also}</p>}
      <div class="verdict">
        <button
          type="button"
          class="key"
          aria-pressed={answer === 'yes'}
          aria-label={en.quote.owner.yesTo(words)}
          onClick={() => onAnswer('yes')}
        >
          {answer === 'yes' ? en.quote.owner.saidYes : en.quote.owner.yes}
        </button>
        <button
          type="button"
          class="key"
          aria-pressed={answer === 'no'}
          aria-label={en.quote.owner.noTo(words)}
          onClick={() => onAnswer('no')}
        >
          {answer === 'no' ? en.quote.owner.saidNo : en.quote.owner.no}
        </button>
      </div>
    </article>
  )
}
