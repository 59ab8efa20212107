import { RANKS } from '../../../domain/lines'
import type { OfferDocument } from '../../../domain/offer'
import type { Finding, Quote, QuoteLine, Rank } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { findingsOf } from '../../../store/jobs'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { Tally } from '../../components/Sums'
import { figures } from '../../shopFigures'
import { tell } from '../../telling'
import { laterWords, priceWords, WhatItComesTo } from './Lines'
import { QuoteSheet } from './QuoteSheet'
import { documentOf, type Standing, standing, usualEnd } from './reckoned'

const its = en.quote.builder
const ADDABLE = ['labor', 'part', 'travel', 'fee', 'supplies', 'discount'] as const

/** The quote while it is written; what it comes to stays in sight. */
export function Builder({ row }: { row: Quote }) {
  const now = standing(row)
  const { lines, sums, faults } = now
  const shown = sums ? documentOf(row, usualEnd(row)).lines : []
  const of = (rank: Rank) => lines.filter((line) => line.rank === rank && line.kind !== 'discount')
  const discounts = lines.filter((line) => line.kind === 'discount')
  const quoted = new Set(lines.map((line) => line.finding_id))
  const withLabor = new Set(lines.filter(({ kind }) => kind === 'labor').map((line) => line.finding_id))
  const open = findingsOf(row.job_id).filter(({ id, decided }) => decided === 'open' && !withLabor.has(id))
  const unquoted = open.filter(({ id }) => !quoted.has(id))
  const laborless = open.filter(({ id }) => quoted.has(id))
  const list = (of: readonly QuoteLine[]) => (
    <Rows items={of} keyOf={(line) => line.id} empty="">
      {(line) => <LineRow row={row} line={line} shown={shown.find(({ id }) => id === line.id)} />}
    </Rows>
  )
  return (
    <QuoteSheet row={row} dock={<Dock row={row} now={now} />}>
      {faults.length > 0 && <Faults row={row} now={now} />}
      {!lines.length && (
        <Rows items={[]} keyOf={String} empty={its.empty} emptyHint={its.emptyHint}>
          {() => null}
        </Rows>
      )}
      {RANKS.filter((rank) => of(rank).length).map((rank) => (
        <Part key={rank} title={en.ranks[rank]}>
          {list(of(rank))}
        </Part>
      ))}
      {discounts.length > 0 && <Part title={en.quote.kinds.discount}>{list(discounts)}</Part>}
      <Found row={row} title={its.findingsWithout} words={its.putFinding} findings={unquoted} />
      <Found row={row} title={its.withoutLabor} words={its.putLabor} findings={laborless} />
      <Part title={its.add}>
        <Keys>
          {ADDABLE.map((kind) => (
            <Key key={kind} words={en.quote.kinds[kind]} to={{ at: 'quote-add', id: row.id, kind }} />
          ))}
        </Keys>
        <Keys tall>
          <Key wide words={its.terms} to={{ at: 'quote-terms', id: row.id }} />
        </Keys>
      </Part>
      {sums && lines.length > 0 && (
        <Part title={its.comesTo}>
          <WhatItComesTo sums={sums} inclusive={row.basis.tax_profiles[0]?.inclusive ?? false} />
        </Part>
      )}
    </QuoteSheet>
  )
}

/** Findings that labor can be put on the quote for. */
function Found({
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
    <Part title={title}>
      <Rows items={findings} keyOf={(finding) => finding.id} empty="">
        {(finding) => (
          <Row
            to={{ at: 'quote-add', id: row.id, kind: 'labor', findingId: finding.id }}
            lead={words(finding.words)}
            figure={en.ranks[finding.rank]}
          />
        )}
      </Rows>
    </Part>
  )
}

function LineRow({
  row,
  line,
  shown,
}: {
  row: Quote
  line: QuoteLine
  shown: OfferDocument['lines'][number] | undefined
}) {
  const finding = line.finding_id && findingsOf(row.job_id).find(({ id }) => id === line.finding_id)
  const also = [en.quote.kinds[line.kind], shown && priceWords(shown), shown && laterWords(shown)]
  return (
    <Row
      to={{ at: 'quote-line', id: row.id, lineId: line.id }}
      lead={line.words}
      figure={shown && figures.value.money(shown.amount_minor)}
      also={[...also, finding && finding.words !== line.words && its.forFinding(finding.words)]
        .filter(Boolean)
        .join(' · ')}
    />
  )
}

/** What has to be put right before the owner can see it, each by the line it stands on. */
function Faults({ row, now }: { row: Quote; now: Standing }) {
  return (
    <Part title={its.wrong}>
      <Rows items={now.faults} keyOf={({ field, code }) => `${field} ${code}`} empty="">
        {({ field, words }) => {
          const line = now.lines[Number(/^lines\.(\d+)/.exec(field)?.[1])]
          return line ? (
            <Row lead={line.words} also={words} to={{ at: 'quote-line', id: row.id, lineId: line.id }} />
          ) : (
            <Row lead={words} to={{ at: 'quote-terms', id: row.id }} />
          )
        }}
      </Rows>
    </Part>
  )
}

function Dock({ row, now: { lines, sums } }: { row: Quote; now: Standing }) {
  const read = figures.value
  const shown = sums && lines.length > 0
  const ranks = shown ? RANKS.filter((rank) => sums.by_rank[rank]) : []
  return (
    <>
      {shown && (
        <Tally
          name={sums.tax_minor ? its.totalWithTax : its.total}
          amount={read.money(sums.total_minor)}
          by={ranks.map((rank) => its.byRank(en.ranks[rank], read.money(sums.by_rank[rank])))}
        />
      )}
      {shown ? (
        <Slab words={its.hand} hint={its.handHint} to={{ at: 'quote-offer', id: row.id }} />
      ) : (
        <Slab words={its.hand} onPress={() => tell(lines.length ? its.wrong : its.cannotHand)} />
      )}
    </>
  )
}
