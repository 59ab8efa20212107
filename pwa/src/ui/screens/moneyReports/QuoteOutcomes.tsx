import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { type QuoteOutcomes as Outcomes, readQuoteOutcomes } from '../../../store/moneyReports'
import { type Bar, BarChart, type FillPattern } from '../../components/BarChart'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { hoursRounded } from '../../hoursText'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.outcomes
const GROUPS = ['kind', 'rank', 'amount'] as const
const PATTERNS = { accepted: 'solid', declined: 'hatched', unanswered: 'plain' } as const
const OUTCOMES = ['accepted', 'declined', 'unanswered'] as const

/** What became of the quotes of a period: bars by kind, urgency and amount, and the quotes behind them. */
export function QuoteOutcomes() {
  return (
    <PeriodReport title={t.title} report="quote-outcomes" read={readQuoteOutcomes}>
      {({ counts, quotes, open, median_minutes }) => (
        <>
          {!counts.length && <p class="empty-state">{moneyReports.empty}</p>}
          {GROUPS.map((group) => (
            <Group key={group} group={group} counts={counts.filter((each) => each.group === group)} />
          ))}
          {open > 0 && <p class="multiline">{t.waiting(open)}</p>}
          {median_minutes !== null && <p class="multiline">{t.median(waitText(median_minutes))}</p>}
          {counts.length > 0 && <p class="hint">{t.counted}</p>}
          <Quotes quotes={quotes} />
        </>
      )}
    </PeriodReport>
  )
}

const waitText = (minutes: number) => en.timeReports.amount(format.value.number(hoursRounded(minutes)))

function Group({ group, counts }: { group: (typeof GROUPS)[number]; counts: Outcomes['counts'] }) {
  if (!counts.length) return null
  const wholes = counts.map((each) => each.accepted_minor + each.declined_minor + each.unanswered_minor)
  const legend = OUTCOMES.map((outcome) => ({
    pattern: PATTERNS[outcome] as FillPattern,
    text: t.outcomes[outcome],
  }))
  return (
    <Section title={t.by[group]}>
      <BarChart title={t.by[group]} bars={bars(group, counts)} max={Math.max(1, ...wholes)} legend={legend} />
    </Section>
  )
}

function bars(group: (typeof GROUPS)[number], counts: Outcomes['counts']): Bar[] {
  const { money, percent } = format.value
  return counts.map((each, at) => {
    const whole = each.accepted_minor + each.declined_minor + each.unanswered_minor
    const share = percent(String(whole ? Math.round((100 * each.accepted_minor) / whole) : 0))
    const name = nameOf(group, each.value, counts[at - 1]?.value)
    return {
      name,
      segments: OUTCOMES.map((outcome) => ({ pattern: PATTERNS[outcome], value: each[`${outcome}_minor`] })),
      value: t.bar(share, money(whole)),
      ariaLabel: en.app.listed([
        name,
        ...OUTCOMES.map((outcome) => `${t.outcomes[outcome]} ${money(each[`${outcome}_minor`])}`),
      ]),
    }
  })
}

function nameOf(group: (typeof GROUPS)[number], value: string, below: string | undefined): string {
  const { money } = format.value
  if (group === 'kind') return t.kinds[value as keyof typeof t.kinds] ?? value
  if (group === 'rank') return en.ranks[value as keyof typeof en.ranks] ?? value
  return value ? t.upTo(money(Number(value))) : t.above(money(Number(below ?? 0)))
}

function Quotes({ quotes }: { quotes: Outcomes['quotes'] }) {
  const { money, moment } = format.value
  if (!quotes.length) return null
  return (
    <Section title={t.quotes} end={quotes.length}>
      <List items={quotes} keyOf={(each) => each.quote_id} empty="" most={20}>
        {(each) => (
          <ListItem
            to={{ at: 'quote', id: each.quote_id }}
            title={each.number}
            value={moment(each.offered_at)}
            details={en.app.listed([
              t.row(money(each.accepted_minor), money(each.declined_minor)),
              ...(each.unanswered_minor ? [t.noAnswer(money(each.unanswered_minor))] : []),
            ])}
          />
        )}
      </List>
    </Section>
  )
}
