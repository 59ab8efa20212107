import type { Quote, QuoteLine } from '../../../domain/contract'
import { isAsked } from '../../../domain/quotes/lines'
import { en } from '../../../domain/words/index'
import { money } from '../../../domain/words/payments'
import { job } from '../../../store/jobs'
import { approvalsOf, remakePdf } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { Button, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { enterCustomerMode } from '../../customerMode'
import { ApprovalRequests } from '../../features/approval/ApprovalRequests'
import { depositDue } from '../../features/payments/moneyFigures'
import { PdfSection } from '../../features/pdf/PdfSection'
import { QuotePage } from '../../features/quotes/QuotePage'
import { calculateQuote, defaultValidUntil, documentOf } from '../../features/quotes/quoteCalculation'
import { RevisionSection } from '../../features/quotes/RevisionChanges'
import { laterPriceText, linePriceText, TotalsTable } from '../../features/quotes/TotalsTable'
import { format } from '../../shopFormat'
import { DecisionEvidence } from './DecisionEvidence'
import { MoreButtons } from './QuoteMoreButtons'

const t = en.quote.result

/** An offered quote: the decision, the lines by answer, the PDF. */
export function QuoteResult({ row }: { row: Quote }) {
  const { lines, sums } = calculateQuote(row)
  const approvals = approvalsOf(row.id)
  const by = (decided: QuoteLine['decided']) =>
    lines.filter((line) => isAsked(line) && line.decided === decided)
  return (
    <QuotePage row={row} dock={<ResultDock row={row} />}>
      {row.state === 'replaced' && <p class="multiline">{t.replaces}</p>}
      {row.state === 'lapsed' && row.valid_until && (
        <p class="multiline">{t.lapsedOn(format.value.day(row.valid_until))}</p>
      )}
      {approvals.map((approval) => (
        <DecisionEvidence key={approval.id} approval={approval} />
      ))}
      {sums && <RevisionSection row={row} />}
      <ApprovalRequests quoteId={row.id} />
      <DecidedLines row={row} title={t.accepted} lines={by('accepted')} />
      <DecidedLines row={row} title={t.declined} lines={by('declined')} />
      <DecidedLines row={row} title={t.open} lines={by('open')} />
      <DecidedLines row={row} title={en.quote.agreedBefore} lines={lines.filter(({ agreed }) => agreed)} />
      {sums && lines.length > 0 && (
        <Section title={by('open').length ? en.quote.builder.comesTo : t.agreed}>
          <TotalsTable sums={sums} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} lines={lines} />
        </Section>
      )}
      <PdfSection row={row} onRemake={() => remakePdf(row.id)} shortcut="quote.pdf" />
      <MoreButtons row={row} />
    </QuotePage>
  )
}

function DecidedLines({ row, title, lines }: { row: Quote; title: string; lines: readonly QuoteLine[] }) {
  if (!lines.length) return null
  const shown = documentOf(row, defaultValidUntil(row)).lines
  return (
    <Section title={title}>
      <List items={lines} keyOf={(line) => line.id} empty="">
        {(line) => {
          const priced = shown.find(({ id }) => id === line.id)
          return (
            <ListItem
              title={line.words}
              value={priced && format.value.money(priced.amount_minor)}
              details={[
                en.ranks[line.rank],
                priced && linePriceText(priced),
                priced && laterPriceText(priced),
              ]
                .filter(Boolean)
                .join(' · ')}
            />
          )
        }}
      </List>
    </Section>
  )
}

function ResultDock({ row }: { row: Quote }) {
  if (row.state === 'offered')
    return (
      <PrimaryButton
        label={t.showAgain}
        hint={t.showAgainHint}
        shortcut="quote.offer"
        onPress={() => enterCustomerMode('quote', row.id)}
      />
    )
  const of = job(row.job_id)
  const deposit = of && row.state === 'decided' ? depositDue(of) : 0
  if (!deposit || !permissions.value.has('bill'))
    return <PrimaryButton label={t.toJob} to={{ at: 'job', id: row.job_id }} shortcut="quote.job" />
  return (
    <div class="dock-pair">
      <Button label={t.toJob} to={{ at: 'job', id: row.job_id }} shortcut="quote.job" />
      <PrimaryButton
        label={money.takeDeposit(format.value.money(deposit))}
        to={{ at: 'job-pay', id: row.job_id, kind: 'deposit', amount: String(deposit) }}
      />
    </div>
  )
}
