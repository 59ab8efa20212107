import { useState } from 'preact/hooks'
import { inOrder } from '../../../domain/lines'
import type { Quote } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { decideQuote, linesOf, quote } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { useDraft } from '../../draft'
import { handed, takeBack } from '../../handed'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { OwnersHandOver } from '../dispatch/OwnersHandOver'
import { documentOf, laterWanted, reckonWanted, usualEnd } from '../quotes/reckoned'
import { GiveBack } from './GiveBack'
import { Lines } from './Lines'
import { type Owned, type OwnedQuote, UNTOUCHED } from './owned'
import { Sign } from './Sign'

/** All that is on the glass while the owner holds the phone: their own matter, without costs or any way elsewhere. */
export function OwnerView() {
  const its = handed.value
  if (its?.what === 'stop') return <OwnersHandOver id={its.id} />
  const row = its ? quote(its.id) : undefined
  return row ? <Deciding row={row} /> : null
}

function Deciding({ row }: { row: Quote }) {
  const draft = useDraft<Owned>(`owner:${row.id}`, UNTOUCHED)
  const { fields, put } = draft
  const [wrong, setWrong] = useState<{ name?: string; ink?: string }>({})
  const { busy, send } = useSend()
  const lines = inOrder(linesOf(row.id))
  const document = documentOf(row, usualEnd(row))
  const decided = document.lines.filter(({ kind }) => kind !== 'discount')
  const said = (answer: 'yes' | 'no') =>
    decided.filter(({ id }) => fields.answers[id] === answer).map(({ id }) => id)
  const offer: OwnedQuote = {
    row,
    document,
    lines: decided,
    yes: said('yes'),
    no: said('no'),
    sums: reckonWanted(row, lines, new Set(said('yes'))),
    later: laterWanted(row, lines, new Set(said('yes'))),
  }

  function decide() {
    const { name, strokes, box, noInk } = fields
    const inkWanted = offer.yes.length > 0 && !noInk
    const found = {
      ...(!name.trim() && { name: en.quote.owner.missingName }),
      ...(inkWanted && !strokes.length && { ink: en.quote.owner.missingInk }),
    }
    setWrong(found)
    if (Object.keys(found).length || !row.offer_digest) return
    const inked = strokes.length > 0 && !noInk
    const decision = {
      quote_id: row.id,
      revision: row.revision,
      how: inked ? ('glass' as const) : ('in_person' as const),
      decided_by_name: name.trim(),
      decided_at: moment(Date.now()),
      zone: shop.value?.zone ?? 'UTC',
      digest: row.offer_digest,
      accepted_ids: offer.yes,
      declined_ids: offer.no,
      ...(inked && { signature: { strokes, ...box } }),
    }
    void send(
      () => decideQuote(decision),
      () => put({ step: 'done', strokes: [] }),
    )
  }

  if (fields.step === 'lines' && row.state === 'offered') return <Lines offer={offer} draft={draft} />
  if (fields.step === 'sign' && row.state === 'offered')
    return <Sign offer={offer} draft={draft} wrong={wrong} busy={busy} onDecide={decide} />
  const undecided = fields.step === 'undecided'
  const { money } = figures.value
  const { thanksYes, thanksNo, given, backToLines, takeBackYes } = en.quote.owner
  return (
    <GiveBack
      shop={document.shop}
      words={undecided ? given : offer.yes.length ? thanksYes(money(offer.sums.total_minor)) : thanksNo}
      opens={takeBackYes}
      again={undecided ? { words: backToLines, press: () => put({ step: 'lines' }) } : null}
      onBack={() => {
        draft.drop()
        takeBack()
        goTo(undecided ? { at: 'quote', id: row.id } : { at: 'job', id: row.job_id }, { instead: true })
      }}
    />
  )
}
