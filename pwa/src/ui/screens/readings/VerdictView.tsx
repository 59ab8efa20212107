import './styles'
import { type Measured, verdictOf } from '../../../domain/bench/readings'
import type { Verdict } from '../../../domain/contract'
import { readingView as t, verdicts } from '../../../domain/words/readings'
import { likelyText, limitText, reasonText, sourceText } from './readingText'
import { Scale } from './Scale'

/** The verdict by word and shape. */
export const VerdictMark = ({ verdict, big }: { verdict: Verdict; big?: boolean }) => (
  <span class={`verdict ${verdict}${big ? ' big' : ''}`}>{verdicts[verdict]}</span>
)

/** What a reading says about its limit: drawn, in one word, and why. `verdict`: as stored, where it is. */
export function VerdictView({ reading, verdict }: { reading: Measured; verdict?: Verdict }) {
  const limit = limitText(reading)
  const likely = likelyText(reading)
  return (
    <div class="verdict-block">
      <Scale reading={reading} />
      <p aria-live="polite">
        <VerdictMark big verdict={verdict ?? verdictOf(reading)} />
      </p>
      <p>{reasonText(reading)}</p>
      {likely && <p>{likely}</p>}
      {limit && <p class="hint">{[t.limitIs(limit), sourceText(reading)].join(' · ')}</p>}
    </div>
  )
}
