import type { Finding, Quote, QuoteLine } from '../../../domain/contract'
import type { OfferDocument } from '../../../domain/quotes/offer'
import { en } from '../../../domain/words/index'
import { findingsOf } from '../../../store/findings'
import { linesOf } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import type { QuoteCalculation } from '../../features/quotes/quoteCalculation'
import { laterPriceText, linePriceText } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'

const t = en.quote.builder

/** Findings that have no labor on the quote yet. */
export function UnquotedFindings({
  row,
  title,
  words,
  findings,
}: {
  row: Quote
  title: string
  words: (finding: string) => string
  findings: readonly Finding[]
}) {
  if (!findings.length) return null
  return (
    <Section title={title}>
      <List items={findings} keyOf={(finding) => finding.id} empty="">
        {(finding) => (
          <ListItem
            to={{ at: 'quote-add', id: row.id, kind: 'labor', findingId: finding.id }}
            title={words(finding.words)}
            value={en.ranks[finding.rank]}
          />
        )}
      </List>
    </Section>
  )
}

export function LineRow({
  row,
  line,
  shown,
}: {
  row: Quote
  line: QuoteLine
  shown: OfferDocument['lines'][number] | undefined
}) {
  const finding = line.finding_id && findingsOf(row.job_id).find(({ id }) => id === line.finding_id)
  const work = line.apart && linesOf(row.id).find(({ id }) => id === line.belongs_to_id)
  const also = [en.quote.kinds[line.kind], shown && linePriceText(shown), shown && laterPriceText(shown)]
  return (
    <ListItem
      to={{ at: 'quote-line', id: row.id, lineId: line.id }}
      title={line.words}
      value={shown && format.value.money(shown.amount_minor)}
      details={[
        ...also,
        finding && finding.words !== line.words && t.forFinding(finding.words),
        work && t.apartFrom(work.words),
      ]
        .filter(Boolean)
        .join(' · ')}
    />
  )
}

/** What must be corrected before the quote can be offered, by line. */
export function QuoteErrors({ row, now }: { row: Quote; now: QuoteCalculation }) {
  return (
    <Section title={t.wrong}>
      <List items={now.faults} keyOf={({ field, code }) => `${field} ${code}`} empty="">
        {({ field, words }) => {
          const line = now.lines[Number(/^lines\.(\d+)/.exec(field)?.[1])]
          return line ? (
            <ListItem
              title={line.words}
              details={words}
              to={{ at: 'quote-line', id: row.id, lineId: line.id }}
            />
          ) : (
            <ListItem title={words} to={{ at: 'quote-terms', id: row.id }} />
          )
        }}
      </List>
    </Section>
  )
}

/** Whether a question is a work that further labor and parts can join. */
export const isWork = ({ lines }: { lines: readonly Pick<QuoteLine, 'kind'>[] }) =>
  lines.length > 1 || lines.some(({ kind }) => kind === 'labor')

/** Further labor or parts of a work, which are one question with it. */
export function AddToWork({ row, line }: { row: Quote; line: QuoteLine | undefined }) {
  if (!line || line.apart) return null
  const workId = line.belongs_to_id ?? line.id
  return (
    <ButtonRow>
      {(['labor', 'part'] as const).map((kind) => (
        <Button
          key={kind}
          label={t.addTo[kind]}
          ariaLabel={t.addToWork(t.addTo[kind], line.words)}
          to={{
            at: 'quote-add',
            id: row.id,
            kind,
            workId,
            ...(line.finding_id && { findingId: line.finding_id }),
          }}
        />
      ))}
    </ButtonRow>
  )
}
