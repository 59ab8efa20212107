import { moneyReports as t } from '../../../domain/words/moneyReports'
import { permissions } from '../../../store/session/session'
import { ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { ComebacksReport } from './ComebacksReport'
import { MarginReport } from './MarginReport'
import { PartsTurnedReport } from './PartsTurnedReport'
import { QuotedBilled } from './QuotedBilled'
import { QuoteOutcomes } from './QuoteOutcomes'
import { TakingsReport } from './TakingsReport'

/** One report on money. */
export function MoneyReport({ of }: { of: string }) {
  switch (of) {
    case 'takings':
      return <TakingsReport />
    case 'margin':
      return <MarginReport />
    case 'parts':
      return <PartsTurnedReport />
    case 'comebacks':
      return <ComebacksReport />
    case 'quoted-billed':
      return <QuotedBilled />
    case 'outcomes':
      return <QuoteOutcomes />
    default:
      return <MoneyReports />
  }
}

/** The list of the reports on money that the member may read. */
export function MoneyReports() {
  const may = permissions.value
  const row = (of: string, { title, hint }: { title: string; hint: string }) => (
    <ListItem title={title} details={hint} to={{ at: 'money-report', of }} />
  )
  return (
    <ShopPage title={t.title}>
      <nav aria-label={t.title}>
        {may.has('keep_books') && row('takings', t.takings)}
        {may.has('see_cost') && row('margin', t.margin)}
        {may.has('see_cost') && row('parts', t.parts)}
        {may.has('keep_books') && row('quoted-billed', t.quotedBilled)}
        {row('comebacks', t.comebacks)}
        {row('outcomes', t.outcomes)}
      </nav>
      <p class="hint">{t.needsSignal}</p>
    </ShopPage>
  )
}
