import type { Quote } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { languageNames } from '../../../domain/words/languages'
import { jsonDigest } from '../../../store/browser/sha256'
import { unconfirmedPrices } from '../../../store/priceBook'
import { offerQuote, quote } from '../../../store/quotes'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { RunningTotal } from '../../components/Totals'
import { enterCustomerMode } from '../../customerMode'
import { PricesFirst } from '../../features/quotes/PricesFirst'
import { QuotePage } from '../../features/quotes/QuotePage'
import {
  calculateQuote,
  defaultValidUntil,
  documentOf,
  newTaxProfile,
  shownNames,
} from '../../features/quotes/quoteCalculation'
import { RevisionSection } from '../../features/quotes/RevisionChanges'
import { totalName } from '../../features/quotes/TotalsTable'
import { NotFound } from '../../NotFound'
import { navigate } from '../../router'
import { format, today } from '../../shopFormat'
import { useSaveOnce } from '../../useSaveOnce'
import { OfferedQuestions, OfferedSums } from './OfferedParts'

const t = en.quote.offer

export function Offer({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'draft' ? (
    <OfferForm row={row} />
  ) : (
    <NotFound {...(row && { back: { at: 'quote', id } })} />
  )
}

/** The review before the phone is handed to the customer; offering fixes the quote. */
function OfferForm({ row }: { row: Quote }) {
  const { busy, save } = useSaveOnce()
  const { sums, lines } = calculateQuote(row)
  const until = defaultValidUntil(row)
  if (!sums || !lines.length || newTaxProfile(row) !== undefined)
    return <NotFound back={{ at: 'quote', id: row.id }} />
  if (unconfirmedPrices.value.length) return <PricesFirst back={{ at: 'quote', id: row.id }} />
  const shown = shownNames(row)
  const document = documentOf(row, until)

  function offer(then: () => void) {
    void save(async () => {
      const digest = await jsonDigest(document)
      const { total_minor } = document
      await offerQuote({ id: row.id, valid_until: until, digest, total_minor, shown, offered_on: today() })
    }, then)
  }
  return (
    <QuotePage
      row={row}
      title={t.title}
      dock={
        <>
          <RunningTotal name={totalName(sums)} amount={format.value.money(document.total_minor)} />
          <PrimaryButton
            label={t.handTo}
            hint={t.handToHint(shown.customer)}
            busy={busy}
            onPress={() => offer(() => enterCustomerMode('quote', row.id))}
          />
        </>
      }
    >
      <p>{t.explain}</p>
      {shown.language !== 'en' && <p>{t.reads(languageNames[shown.language])}</p>}
      <p class="multiline">{t.hides}</p>
      <ButtonRow stacked>
        <Button
          wide
          label={t.ask}
          hint={t.askHint}
          onPress={() => offer(() => navigate({ at: 'quote-ask', id: row.id }, { replace: true }))}
        />
      </ButtonRow>
      <RevisionSection row={row} />
      <OfferedQuestions document={document} />
      <OfferedSums row={row} document={document} until={until} />
    </QuotePage>
  )
}
