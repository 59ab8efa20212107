import { en } from '../../../domain/words/index'
import { maySeeAllTime } from '../../../store/timeReports'
import { ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { DisputedReport } from './DisputedReport'
import { PayReport } from './PayReport'
import { QuotedReport } from './QuotedReport'
import { RoundingReport } from './RoundingReport'
import { WeekReport } from './WeekReport'

const t = en.timeReports.reports

/** One report. */
export function Report({ of }: { of: string }) {
  switch (of) {
    case 'week':
      return <WeekReport />
    case 'quoted':
      return <QuotedReport />
    case 'rounding':
      return <RoundingReport />
    case 'held':
      return <DisputedReport />
    case 'pay':
      return <PayReport />
    default:
      return <Reports />
  }
}

/** The list of the reports. */
export function Reports() {
  return (
    <ShopPage title={t.title} back={{ at: 'today' }}>
      <nav aria-label={t.title}>
        <ListItem title={t.week} details={t.weekHint} to={{ at: 'report', of: 'week' }} />
        <ListItem title={t.quoted} details={t.quotedHint} to={{ at: 'report', of: 'quoted' }} />
        <ListItem title={t.rounding} details={t.roundingHint} to={{ at: 'report', of: 'rounding' }} />
        <ListItem title={t.pay} details={t.payHint} to={{ at: 'report', of: 'pay' }} />
        <ListItem title={t.held} details={t.heldHint} to={{ at: 'report', of: 'held' }} />
      </nav>
      {!maySeeAllTime() && <p class="hint">{t.own}</p>}
    </ShopPage>
  )
}
