import { shownName } from '../../../domain/marks'
import type { Job, Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { draftQuote, quotesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { goTo } from '../../router'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { basisToday, standing } from './reckoned'

const its = en.job

/** Starts a quote on today's prices and goes to it; says what is missing where that cannot be. */
export async function startQuote(job: Job, kind: Quote['kind']): Promise<void> {
  if (!shop.value) return tell(en.quote.builder.noBook)
  const basis = basisToday()
  if (!basis) return tell(en.quote.builder.noTax)
  let id = ''
  const saved = await saving(async () => {
    id = await draftQuote({ job_id: job.id, kind, basis })
  }, en.quote.builder.started)
  if (saved) goTo({ at: 'quote', id })
}

function totalOf(quote: Quote): string | undefined {
  const { lines, sums } = standing(quote)
  return sums && lines.length ? figures.value.money(sums.total_minor) : undefined
}

/** A job's quotes, newest first. */
export function JobQuotes({ job }: { job: Job }) {
  const quotes = quotesOf(job.id).toReversed()
  const decided = quotes.some((quote) => quote.state === 'decided')
  const drafting = quotes.some((quote) => quote.state === 'draft')
  return (
    <Part title={its.quotes}>
      <Rows items={quotes} keyOf={(quote) => quote.id} empty={its.noQuotes}>
        {(quote) => (
          <Row
            to={{ at: 'quote', id: quote.id }}
            lead={shownName(quote)}
            figure={totalOf(quote)}
            also={[
              en.quote.states[quote.state],
              quote.kind === 'added' && en.quote.builder.addedTitle,
              quote.revision > 1 && en.quote.builder.revision(quote.revision),
            ]
              .filter(Boolean)
              .join(' · ')}
          />
        )}
      </Rows>
      {decided && !drafting && (
        <Keys tall>
          <Key wide words={its.addedQuote} onPress={() => void startQuote(job, 'added')} />
        </Keys>
      )}
    </Part>
  )
}

/** The next thing to do about a job's quote. */
export function QuoteSlab({ job }: { job: Job }) {
  const newest = quotesOf(job.id)
    .filter((quote) => quote.state !== 'withdrawn' && quote.state !== 'replaced')
    .at(-1)
  if (!newest)
    return <Slab words={its.startQuote} hint={its.quoteHint} onPress={() => void startQuote(job, 'first')} />
  const hint = [totalOf(newest), en.quote.states[newest.state]].filter(Boolean).join(' · ')
  return (
    <Slab
      words={newest.state === 'draft' ? its.goOnQuote : its.showQuote}
      hint={hint}
      to={{ at: 'quote', id: newest.id }}
    />
  )
}
