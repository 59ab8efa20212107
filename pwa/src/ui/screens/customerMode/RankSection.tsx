import type { FindingRank } from '../../../domain/contract'
import { LineDecision } from '../../components/LineDecision'
import { Caution, Section } from '../../components/Section'
import { questionNote, type RevisionChanges } from '../../features/quotes/RevisionChanges'
import { linePriceText, partText } from '../../features/quotes/TotalsTable'
import { reader } from '../../reader'
import { format } from '../../shopFormat'
import type { Draft } from '../../useDraft'
import type { QuoteAnswers, QuoteQuestion } from './quoteAnswers'

interface RankSectionProps {
  rank: FindingRank
  questions: readonly QuoteQuestion[]
  changes: RevisionChanges | null
  draft: Pick<Draft<QuoteAnswers>, 'fields' | 'update'>
  /** What is wrong with a question that has no answer. */
  error: string | undefined
}

/** The questions of one rank, each with yes and no. */
export function RankSection({
  rank,
  questions,
  changes,
  draft: { fields, update },
  error,
}: RankSectionProps) {
  const t = reader.value.quote
  const { money } = format.value
  const refused = questions.some(({ key }) => fields.answers[key] === 'no')
  if (questions.length === 0) return null
  return (
    <Section title={t.rankTitles[rank]}>
      {questions.map(({ key, title, lines, amount, later, apartFrom }) => (
        <LineDecision
          key={key}
          id={`line-${key}`}
          title={title}
          amount={money(amount)}
          price={lines.length === 1 ? linePriceText(lines[0] as (typeof lines)[0]) : undefined}
          parts={lines.length > 1 ? lines.map((line) => partText(line, title)) : []}
          details={joined(lines.map(({ included }) => included))}
          finding={joined(lines.map(({ found }) => (found === title ? '' : found)))}
          laterPrice={later === null ? undefined : money(later)}
          warning={apartFrom.length ? t.apart(apartFrom) : undefined}
          {...(changes && questionNote(changes, key))}
          answer={fields.answers[key] ?? null}
          error={fields.answers[key] ? undefined : error}
          onAnswer={(answer) => update({ answers: { ...fields.answers, [key]: answer } })}
        />
      ))}
      {rank === 'safety' && refused && <Caution text={t.safetyNo} />}
    </Section>
  )
}

const joined = (texts: readonly (string | undefined)[]) => [...new Set(texts.filter(Boolean))].join('\n')
