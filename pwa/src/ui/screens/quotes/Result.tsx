import { basisOn } from '../../../domain/book'
import type { Quote, QuoteLine } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { approvalsOf, linesOf, reviseQuote, withdrawQuote } from '../../../store/quotes'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { giveTo } from '../../handed'
import { goTo } from '../../router'
import { figures, today } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { Requests } from '../asking/Requests'
import { Decision } from './Decision'
import { laterWords, priceWords, WhatItComesTo } from './Lines'
import { Paper } from './Paper'
import { QuoteSheet } from './QuoteSheet'
import { basisToday, documentOf, reckonWanted, usualEnd } from './reckoned'

const its = en.quote.result

/** A quote once it was shown: the decision, the lines by what was said to them, the paper. */
export function Result({ row }: { row: Quote }) {
  const lines = linesOf(row.id)
  const approvals = approvalsOf(row.id)
  const wanted = row.state === 'decided' ? lines.filter(({ decided }) => decided === 'accepted') : lines
  const sums = lines.length ? reckonWanted(row, lines, new Set(wanted.map(({ id }) => id))) : null
  const by = (decided: QuoteLine['decided']) =>
    lines.filter((line) => line.kind !== 'discount' && line.decided === decided)
  return (
    <QuoteSheet row={row} dock={<Dock row={row} />}>
      {row.state === 'replaced' && <p class="lines">{its.replaces}</p>}
      {row.state === 'lapsed' && row.valid_until && (
        <p class="lines">{its.lapsedOn(figures.value.day(row.valid_until))}</p>
      )}
      {approvals.map((approval) => (
        <Decision key={approval.id} approval={approval} />
      ))}
      <Requests quoteId={row.id} />
      <Said row={row} title={its.accepted} lines={by('accepted')} />
      <Said row={row} title={its.declined} lines={by('declined')} />
      <Said row={row} title={its.open} lines={by('open')} />
      {sums && (
        <Part title={row.state === 'decided' ? its.agreed : en.quote.builder.comesTo}>
          <WhatItComesTo sums={sums} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} />
        </Part>
      )}
      <Paper row={row} />
      <MoreKeys row={row} />
    </QuoteSheet>
  )
}

function Said({ row, title, lines }: { row: Quote; title: string; lines: readonly QuoteLine[] }) {
  if (!lines.length) return null
  const shown = documentOf(row, usualEnd(row)).lines
  return (
    <Part title={title}>
      <Rows items={lines} keyOf={(line) => line.id} empty="">
        {(line) => {
          const priced = shown.find(({ id }) => id === line.id)
          return (
            <Row
              lead={line.words}
              figure={priced && figures.value.money(priced.amount_minor)}
              also={[en.ranks[line.rank], priced && priceWords(priced), priced && laterWords(priced)]
                .filter(Boolean)
                .join(' · ')}
            />
          )
        }}
      </Rows>
    </Part>
  )
}

async function revise(row: Quote): Promise<void> {
  const basis = basisOn(row.basis, today()) ?? basisToday()
  if (!basis) return tell(en.quote.builder.noTax)
  let id = ''
  const saved = await saving(async () => {
    id = await reviseQuote(row, basis)
  }, en.quote.builder.started)
  if (saved) goTo({ at: 'quote', id })
}

function MoreKeys({ row }: { row: Quote }) {
  const open = row.state === 'offered' || row.state === 'lapsed'
  if (!open && row.state !== 'decided') return null
  return (
    <Keys tall>
      {row.state === 'offered' && (
        <Key
          wide
          words={en.asking.send.title}
          hint={en.asking.moreHint}
          to={{ at: 'quote-ask', id: row.id }}
        />
      )}
      {row.state === 'offered' && <Key wide words={its.told} to={{ at: 'quote-told', id: row.id }} />}
      <Key wide words={its.writeRevision} hint={its.revisionHint} onPress={() => void revise(row)} />
      {open && (
        <Key
          wide
          words={its.withdraw}
          onPress={() => void saving(() => withdrawQuote(row.id), its.withdrawn)}
        />
      )}
    </Keys>
  )
}

function Dock({ row }: { row: Quote }) {
  if (row.state === 'offered')
    return <Slab words={its.showAgain} hint={its.showAgainHint} onPress={() => giveTo('quote', row.id)} />
  return <Slab words={its.toJob} to={{ at: 'job', id: row.job_id }} />
}
