import type { ComponentChildren } from 'preact'
import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { storage as t } from '../../../domain/words/storage'
import { priceBook } from '../../../store/priceBook'
import { isDone, storageOf } from '../../../store/storage'
import { Section } from '../../components/Section'
import { format, today } from '../../shopFormat'

/** Storage of a machine that is done: since when, how long, what it comes to, and because of which notice. */
export function JobStorage({ job }: { job: Job }) {
  if (!isDone(job)) return null
  const { terms, charge } = storageOf(job, today())
  const { money, day } = format.value
  const [told, ...later] = charge.evidence
  if (charge.why === 'not_told') {
    const isCharged = Boolean(priceBook.value?.prices.storage?.per_day_minor)
    return isCharged && job.stage === 'ready' ? <Said text={t.notTold} /> : null
  }
  // Of a machine that is gone, only what is charged is said.
  if (!terms || (job.stage !== 'ready' && charge.why === 'free')) return null
  if (!told) return job.stage === 'ready' ? <Said text={t.notNotified} hint={t.notNotifiedHint} /> : null
  return (
    <Said text={said()} hint={t.localRules}>
      <p class="multiline">
        {t.because(day(told.on), t.how[told.channel], told.address)}
        {later.length > 0 && ` ${t.again(later.length)}`}
        {charge.paused_days > 0 && ` ${t.paused}`}
      </p>
      <p class="hint">
        {en.app.joined([
          t.terms(terms.free_days, money(terms.per_day_minor)),
          terms.cap_minor === null ? '' : t.most(money(terms.cap_minor)),
        ])}
      </p>
    </Said>
  )

  function said(): string {
    if (charge.why === 'day_unknown') return t.dayUnknown
    if (charge.why === 'billed') return t.billed(money(charge.amount_minor))
    if (charge.why === 'free') return t.free(day(charge.free_through ?? ''))
    return t.runs(day(charge.free_through ?? ''), charge.charged_days, money(charge.due_minor))
  }
}

interface SaidProps {
  text: string
  hint?: string
  children?: ComponentChildren
}

function Said({ text, hint, children }: SaidProps) {
  return (
    <Section title={t.title}>
      <p class="multiline">
        <b>{text}</b>
      </p>
      {children}
      {hint && <p class="hint">{hint}</p>}
    </Section>
  )
}
