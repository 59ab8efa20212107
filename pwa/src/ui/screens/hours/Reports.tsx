import { en } from '../../../domain/words'
import { seesAll } from '../../../store/hours'
import { Row } from '../../components/Rows'
import { Sheet } from '../Sheet'
import { Held } from './Held'
import { Pay } from './Pay'
import { QuotedClocked } from './QuotedClocked'
import { Rounding } from './Rounding'
import { WeekHours } from './WeekHours'

const its = en.hours.reports

/** One report, or the list of them. */
export function Reports({ of }: { of?: string }) {
  switch (of) {
    case 'week':
      return <WeekHours />
    case 'quoted':
      return <QuotedClocked />
    case 'rounding':
      return <Rounding />
    case 'held':
      return <Held />
    case 'pay':
      return <Pay />
    default:
      return <List />
  }
}

function List() {
  return (
    <Sheet title={its.title} back={{ at: 'today' }}>
      <nav aria-label={its.title}>
        <Row lead={its.week} also={its.weekHint} to={{ at: 'reports', of: 'week' }} />
        <Row lead={its.quoted} also={its.quotedHint} to={{ at: 'reports', of: 'quoted' }} />
        <Row lead={its.rounding} also={its.roundingHint} to={{ at: 'reports', of: 'rounding' }} />
        <Row lead={its.pay} also={its.payHint} to={{ at: 'reports', of: 'pay' }} />
        <Row lead={its.held} also={its.heldHint} to={{ at: 'reports', of: 'held' }} />
      </nav>
      {!seesAll() && <p class="hint">{its.own}</p>}
    </Sheet>
  )
}
