import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { readPartsTurned } from '../../../store/moneyReports'
import { List, ListItem } from '../../components/List'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.parts

/** The parts fitted in a period, the most used first; each leads to the last job that got one. */
export function PartsTurnedReport() {
  const { money, number } = format.value
  return (
    <PeriodReport title={t.title} report="parts-turned" read={readPartsTurned}>
      {({ parts }) => (
        <List
          items={parts}
          keyOf={(each) => `${each.number} ${each.description}`}
          empty={moneyReports.empty}
          most={40}
        >
          {(each) => (
            <ListItem
              to={{ at: 'job', id: each.jobs.at(-1) ?? '' }}
              title={en.app.joined([each.description, each.number])}
              value={t.fitted(number(each.fitted))}
              details={en.app.joined([
                t.onJobs(each.jobs.length),
                each.cost_minor === null ? '' : t.cost(money(each.cost_minor)),
                each.price_minor === null ? '' : t.price(money(each.price_minor)),
              ])}
            />
          )}
        </List>
      )}
    </PeriodReport>
  )
}
