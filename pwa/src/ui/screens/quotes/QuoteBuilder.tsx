import type { FindingRank, Quote, QuoteLine } from '../../../domain/contract'
import { isAsked } from '../../../domain/quotes/lines'
import { questionsOf } from '../../../domain/quotes/questions'
import { en } from '../../../domain/words/index'
import { chooseTaxProfile } from '../../../store/quotes'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { QuotePage } from '../../features/quotes/QuotePage'
import {
  calculateQuote,
  defaultValidUntil,
  documentOf,
  newTaxProfile,
  type QuoteCalculation,
} from '../../features/quotes/quoteCalculation'
import { RevisionSection } from '../../features/quotes/RevisionChanges'
import { TotalsTable, totalName } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { findingsToQuote } from './findingsToQuote'
import { isWork, LineRow, QuoteErrors, UnquotedFindings } from './QuoteBuilderRows'
import { QuoteWorks } from './QuoteWorks'

const t = en.quote.builder

const ADDABLE = ['labor', 'part', 'travel', 'fee', 'supplies', 'discount'] as const

/** The draft of a quote, with its running total in the dock. */
export function QuoteBuilder({ row }: { row: Quote }) {
  const now = calculateQuote(row)
  const { lines, sums, faults } = now
  const shown = sums ? documentOf(row, defaultValidUntil(row)).lines : []
  const works = questionsOf(shown).filter(isWork)
  const inWorks = new Set(works.flatMap((work) => work.lines.map(({ id }) => id)))
  const of = (rank: FindingRank) =>
    lines.filter((line) => line.rank === rank && isAsked(line) && !inWorks.has(line.id))
  const agreed = lines.filter((line) => line.agreed)
  const discounts = lines.filter((line) => line.kind === 'discount')
  const { unquoted, laborless } = findingsToQuote(row, lines)
  const list = (of: readonly QuoteLine[]) => (
    <List items={of} keyOf={(line) => line.id} empty="">
      {(line) => <LineRow row={row} line={line} shown={shown.find(({ id }) => id === line.id)} />}
    </List>
  )
  return (
    <QuotePage row={row} dock={<BuilderDock row={row} now={now} />}>
      <TaxEnded row={row} />
      {faults.length > 0 && <QuoteErrors row={row} now={now} />}
      {sums && lines.length > 0 && <RevisionSection row={row} />}
      {!lines.length && (
        <List items={[]} keyOf={String} empty={t.empty} emptyHint={t.emptyHint}>
          {() => null}
        </List>
      )}
      <QuoteWorks row={row} lines={lines} works={works} other={of} list={list} />
      {agreed.length > 0 && <Section title={en.quote.agreedBefore}>{list(agreed)}</Section>}
      {discounts.length > 0 && <Section title={en.quote.kinds.discount}>{list(discounts)}</Section>}
      <UnquotedFindings row={row} title={t.findingsWithout} words={t.putFinding} findings={unquoted} />
      <UnquotedFindings row={row} title={t.withoutLabor} words={t.putLabor} findings={laborless} />
      <AddToQuote row={row} />
      {sums && lines.length > 0 && (
        <Section title={t.comesTo}>
          <TotalsTable sums={sums} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} lines={lines} />
        </Section>
      )}
    </QuotePage>
  )
}

function AddToQuote({ row: { id } }: { row: Quote }) {
  return (
    <Section title={t.add}>
      <ButtonRow>
        {ADDABLE.map((kind) => (
          <Button
            key={kind}
            label={en.quote.kinds[kind]}
            to={{ at: 'quote-add', id, kind }}
            shortcut={`quote.${kind}`}
          />
        ))}
      </ButtonRow>
      <ButtonRow stacked>
        <Button wide label={t.terms} to={{ at: 'quote-terms', id }} shortcut="quote.terms" />
      </ButtonRow>
    </Section>
  )
}

/** Warns that the tax profile of the draft is no longer in force, and offers the current one. */
function TaxEnded({ row }: { row: Quote }) {
  const current = newTaxProfile(row)
  if (current === undefined) return null
  return (
    <Section title={t.taxEnded(taxLabel(row))} hint={current ? t.taxEndedHint : t.noTax}>
      {current && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.useTax(current.label)}
            onPress={() => void saveWithToast(() => chooseTaxProfile(row.id, current), t.taxChanged)}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

const taxLabel = (row: Quote) => row.basis.tax_profiles[0]?.label ?? ''

function BuilderDock({ row, now: { lines, sums } }: { row: Quote; now: QuoteCalculation }) {
  const { id } = row
  const shown = sums && lines.length > 0
  const taxEnded = newTaxProfile(row) !== undefined
  const missing = !lines.length ? t.cannotHand : sums ? t.taxEnded(taxLabel(row)) : t.wrong
  return (
    <>
      {shown && <RunningTotal name={totalName(sums)} amount={format.value.money(sums.total_minor)} />}
      {shown && !taxEnded ? (
        <PrimaryButton
          label={t.hand}
          hint={t.handHint}
          to={{ at: 'quote-offer', id }}
          shortcut="quote.offer"
        />
      ) : (
        <PrimaryButton label={t.hand} onPress={() => showToast(missing)} />
      )}
    </>
  )
}
