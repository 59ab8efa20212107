import type { Quote } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { worth } from '../../../domain/words/worth'
import { reviseQuote, revisionOf, withdrawQuote } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import { currentBasis } from '../../features/quotes/quoteCalculation'
import { navigate } from '../../router'
import { saveWithToast, showToast } from '../../toast'

const t = en.quote.result

async function revise(row: Quote): Promise<void> {
  const basis = currentBasis(row.basis)
  if (!basis) return showToast(en.quote.builder.noTax)
  let id = ''
  const saved = await saveWithToast(async () => {
    id = await reviseQuote(row, basis)
  }, en.quote.builder.started)
  if (saved) navigate({ at: 'quote', id })
}

/** What else can be done with an offered quote: ask, record what was said, revise, withdraw. */
export function MoreButtons({ row }: { row: Quote }) {
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
          shortcut="quote.send"
        />
      )}
      {row.state === 'offered' && (
        <Button
          wide
          label={t.recordDecision}
          to={{ at: 'quote-record-decision', id: row.id }}
          shortcut="quote.record"
        />
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
          shortcut="quote.revise"
          onPress={() => void revise(row)}
        />
      )}
      <Button wide label={worth.title} to={{ at: 'quote-worth', id: row.id }} />
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
