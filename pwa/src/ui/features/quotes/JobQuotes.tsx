import type { Job, Quote } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { draftQuote, quotesOf } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { calculateQuote, currentBasis } from './quoteCalculation'

const t = en.job

/** Starts a quote with today's prices and opens it; shows a toast where the price book is incomplete. */
export async function startQuote(job: Job, kind: Quote['kind']): Promise<void> {
  if (!shop.value) return showToast(en.quote.builder.noBook)
  const basis = currentBasis()
  if (!basis) return showToast(en.quote.builder.noTax)
  let id = ''
  const saved = await saveWithToast(async () => {
    id = await draftQuote({ job_id: job.id, kind, basis })
  }, en.quote.builder.started)
  if (saved) navigate({ at: 'quote', id })
}

function totalOf(quote: Quote): string | undefined {
  const { lines, sums } = calculateQuote(quote)
  return sums && lines.length ? format.value.money(sums.total_minor) : undefined
}

/** A job's quotes, newest first. */
export function JobQuotes({ job }: { job: Job }) {
  const quotes = quotesOf(job.id).toReversed()
  const decided = quotes.some((quote) => quote.state === 'decided')
  const drafting = quotes.some((quote) => quote.state === 'draft')
  if (!quotes.length) return null
  return (
    <Section title={t.quotes} end={quotes.length}>
      <List items={quotes} keyOf={(quote) => quote.id} empty="">
        {(quote) => (
          <ListItem
            to={{ at: 'quote', id: quote.id }}
            title={<Serial text={shownName(quote)} />}
            value={totalOf(quote)}
            details={[
              en.quote.states[quote.state],
              quote.kind === 'added' && en.quote.builder.addedTitle,
              quote.revision > 1 && en.quote.builder.revision(quote.revision),
            ]
              .filter(Boolean)
              .join(' · ')}
          />
        )}
      </List>
      {decided && !drafting && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.addedQuote}
            shortcut="job.addedQuote"
            onPress={() => void startQuote(job, 'added')}
          />
        </ButtonRow>
      )}
    </Section>
  )
}

/** The next action on a job's quote; quiet, since the clock is the main action of a job. */
export function QuoteButton({ job }: { job: Job }) {
  const current = quotesOf(job.id).filter(({ state }) => state !== 'withdrawn' && state !== 'replaced')
  const newest = current.findLast(({ state }) => state !== 'lapsed') ?? current.at(-1)
  if (!newest)
    return (
      <ButtonRow stacked>
        <Button
          wide
          label={t.startQuote}
          hint={t.quoteHint}
          shortcut="job.quote"
          onPress={() => void startQuote(job, 'first')}
        />
      </ButtonRow>
    )
  const hint = [totalOf(newest), en.quote.states[newest.state]].filter(Boolean).join(' · ')
  return (
    <ButtonRow stacked>
      <Button
        wide
        label={newest.state === 'draft' ? t.goOnQuote : t.showQuote}
        hint={hint}
        to={{ at: 'quote', id: newest.id }}
        shortcut="job.quote"
      />
    </ButtonRow>
  )
}
