import type { Quote, QuoteLine } from '../../../domain/contract'
import { isAsked } from '../../../domain/quotes/lines'
import { en } from '../../../domain/words/index'
import { approvalsOf, reviseQuote, revisionOf, withdrawQuote } from '../../../store/quotes'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { enterCustomerMode } from '../../customerMode'
import { ApprovalRequests } from '../../features/approval/ApprovalRequests'
import { QuotePage } from '../../features/quotes/QuotePage'
import {
  calculateQuote,
  currentBasis,
  defaultValidUntil,
  documentOf,
} from '../../features/quotes/quoteCalculation'
import { laterPriceText, linePriceText, TotalsTable } from '../../features/quotes/TotalsTable'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { DecisionEvidence } from './DecisionEvidence'
import { QuotePdf } from './QuotePdf'

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
      <ApprovalRequests quoteId={row.id} />
      <DecidedLines row={row} title={t.accepted} lines={by('accepted')} />
      <DecidedLines row={row} title={t.declined} lines={by('declined')} />
      <DecidedLines row={row} title={t.open} lines={by('open')} />
      <DecidedLines row={row} title={en.quote.agreedBefore} lines={lines.filter(({ agreed }) => agreed)} />
      {sums && lines.length > 0 && (
        <Section title={by('open').length ? en.quote.builder.comesTo : t.agreed}>
          <TotalsTable sums={sums} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} />
        </Section>
      )}
      <QuotePdf row={row} />
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

async function revise(row: Quote): Promise<void> {
  const basis = currentBasis(row.basis)
  if (!basis) return showToast(en.quote.builder.noTax)
  let id = ''
  const saved = await saveWithToast(async () => {
    id = await reviseQuote(row, basis)
  }, en.quote.builder.started)
  if (saved) navigate({ at: 'quote', id })
}

function MoreButtons({ row }: { row: Quote }) {
  const open = row.state === 'offered' || row.state === 'lapsed'
  if (!open && row.state !== 'decided') return null
  const newer = revisionOf(row)
  return (
    <ButtonRow stacked>
      {row.state === 'offered' && (
        <Button
          wide
          label={en.asking.send.title}
          hint={en.asking.moreHint}
          to={{ at: 'quote-ask', id: row.id }}
        />
      )}
      {row.state === 'offered' && (
        <Button wide label={t.recordDecision} to={{ at: 'quote-record-decision', id: row.id }} />
      )}
      {newer ? (
        <Button
          wide
          label={t.seeRevision(newer.revision)}
          hint={en.quote.states[newer.state]}
          to={{ at: 'quote', id: newer.id }}
        />
      ) : (
        <Button
          wide
          label={t.writeRevision}
          hint={open ? t.revisionHint : t.decidedHint}
          onPress={() => void revise(row)}
        />
      )}
      {open && (
        <Button
          wide
          label={t.withdraw}
          onPress={() => void saveWithToast(() => withdrawQuote(row.id), t.withdrawn)}
        />
      )}
    </ButtonRow>
  )
}

function ResultDock({ row }: { row: Quote }) {
  if (row.state === 'offered')
    return (
      <PrimaryButton
        label={t.showAgain}
        hint={t.showAgainHint}
        onPress={() => enterCustomerMode('quote', row.id)}
      />
    )
  return <PrimaryButton label={t.toJob} to={{ at: 'job', id: row.job_id }} />
}
