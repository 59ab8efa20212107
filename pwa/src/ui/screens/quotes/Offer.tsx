import { RANKS } from '../../../domain/lines'
import type { OfferDocument } from '../../../domain/offer'
import type { Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { offerQuote, quote } from '../../../store/quotes'
import { Part } from '../../components/Part'
import { Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { Tally } from '../../components/Sums'
import { giveTo } from '../../handed'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { laterWords, priceWords, WhatItComesTo } from './Lines'
import { QuoteSheet } from './QuoteSheet'
import { digestOf, documentOf, shownNames, standing, usualEnd } from './reckoned'

const its = en.quote.offer

export function Offer({ id }: { id: string }) {
  const row = quote(id)
  return row?.state === 'draft' ? <Show row={row} /> : <Nowhere {...(row && { back: { at: 'quote', id } })} />
}

/** The last look before the phone is turned round; from then on the quote is fixed. */
function Show({ row }: { row: Quote }) {
  const { busy, send } = useSend()
  const { sums, lines } = standing(row)
  const until = usualEnd(row)
  if (!sums || !lines.length) return <Nowhere back={{ at: 'quote', id: row.id }} />
  const shown = shownNames(row)
  const document = documentOf(row, until)

  function hand() {
    void send(
      async () => {
        const digest = await digestOf(document)
        await offerQuote({ id: row.id, valid_until: until, digest, total_minor: document.total_minor, shown })
      },
      () => giveTo('quote', row.id),
    )
  }
  return (
    <QuoteSheet
      row={row}
      dock={
        <>
          <Tally name={en.quote.builder.total} amount={figures.value.money(document.total_minor)} />
          <Slab words={its.handTo} hint={its.handToHint(shown.customer)} busy={busy} onPress={hand} />
        </>
      }
    >
      <p>{its.explain}</p>
      <p class="lines">{its.hides}</p>
      {RANKS.map((rank) => (
        <OfferedPart
          key={rank}
          title={en.ranks[rank]}
          lines={document.lines.filter((line) => line.rank === rank)}
        />
      ))}
      <Part title={en.quote.builder.comesTo}>
        <WhatItComesTo sums={sums} inclusive={document.prices_hold_tax} />
        {document.later_total_minor !== undefined && (
          <p class="lines">{en.quote.owner.laterTotal(figures.value.money(document.later_total_minor))}</p>
        )}
        <p class="lines">{its.holdsUntil(figures.value.day(until))}</p>
      </Part>
    </QuoteSheet>
  )
}

function OfferedPart({ title, lines }: { title: string; lines: OfferDocument['lines'] }) {
  if (!lines.length) return null
  return (
    <Part title={title}>
      <Rows items={lines} keyOf={(line) => line.id} empty="">
        {(line) => (
          <Row
            lead={line.words}
            figure={figures.value.money(line.amount_minor)}
            also={[priceWords(line), laterWords(line), line.included].filter(Boolean).join(' · ')}
          />
        )}
      </Rows>
    </Part>
  )
}
