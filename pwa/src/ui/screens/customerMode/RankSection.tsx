import type { FindingRank } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { LineDecision } from '../../components/LineDecision'
import { Caution, Section } from '../../components/Section'
import { linePriceText } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'
import type { Draft } from '../../useDraft'
import type { CustomerQuote, QuoteAnswers } from './quoteAnswers'

const t = en.quote.customer

interface RankSectionProps {
  rank: FindingRank
  lines: CustomerQuote['lines']
  draft: Pick<Draft<QuoteAnswers>, 'fields' | 'update'>
}

/** The lines of one rank, each with yes and no. */
export function RankSection({ rank, lines, draft: { fields, update } }: RankSectionProps) {
  const { money } = format.value
  const refused = lines.some(({ id }) => fields.answers[id] === 'no')
  if (lines.length === 0) return null
  return (
    <Section title={t.rankTitles[rank]}>
      {lines.map((line) => (
        <LineDecision
          key={line.id}
          id={`line-${line.id}`}
          title={line.words}
          amount={money(line.amount_minor)}
          price={linePriceText(line)}
          details={line.included}
          finding={line.found === line.words ? undefined : line.found}
          laterPrice={line.later_minor === undefined ? undefined : money(line.later_minor)}
          answer={fields.answers[line.id] ?? null}
          onAnswer={(answer) => update({ answers: { ...fields.answers, [line.id]: answer } })}
        />
      ))}
      {rank === 'safety' && refused && <Caution text={t.safetyNo} />}
    </Section>
  )
}
