import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { type Comebacks, readComebacks } from '../../../store/moneyReports'
import { List, ListItem, OpeningItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { hoursText } from '../../features/reports/week'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.comebacks
type Group = Comebacks['whole']
type Row = Comebacks['comebacks'][number]

/** Comebacks of a period against the jobs finished in it: all, by kind of work, by person, and each one. */
export function ComebacksReport() {
  return (
    <PeriodReport title={t.title} report="comebacks" read={readComebacks}>
      {({ whole, works, members, comebacks }) => (
        <>
          <Whole group={whole} />
          <Groups title={t.works} none={t.noWork} groups={works} rows={comebacks} />
          <Groups title={t.members} none={en.app.noName} groups={members} rows={comebacks} />
          <p class="hint">{t.how}</p>
          <Section title={t.jobs} end={comebacks.length}>
            <Rows rows={comebacks} />
          </Section>
        </>
      )}
    </PeriodReport>
  )
}

/** "2 of 25 finished jobs, 8%" */
function shareText({ comebacks, finished, percent }: Group): string {
  const share = percent === null ? '' : format.value.percent(percent)
  return en.app.listed([t.against(comebacks, finished), ...(share ? [share] : [])])
}

function Whole({ group }: { group: Group }) {
  const { money } = format.value
  return (
    <DescriptionList
      items={[
        [t.count, shareText(group)],
        [t.cost, group.unbilled_cost_minor === null ? null : money(group.unbilled_cost_minor)],
      ]}
    />
  )
}

/** Groups that open the comebacks they count. */
function Groups(props: { title: string; none: string; groups: readonly Group[]; rows: readonly Row[] }) {
  const { title, none, groups, rows } = props
  const { money } = format.value
  if (!groups.length) return null
  return (
    <Section title={title}>
      {groups.map((group) => (
        <OpeningItem
          key={group.member_id ?? group.name}
          title={group.name || none}
          value={group.unbilled_cost_minor === null ? '' : money(group.unbilled_cost_minor)}
          details={shareText(group)}
        >
          <Rows rows={rows.filter(({ job_id }) => group.jobs.includes(job_id))} />
        </OpeningItem>
      ))}
    </Section>
  )
}

function Rows({ rows }: { rows: readonly Row[] }) {
  const { money, day } = format.value
  return (
    <List items={rows} keyOf={(each) => each.job_id} empty={moneyReports.empty} most={20}>
      {(each) => (
        <ListItem
          to={{ at: 'job', id: each.job_id }}
          title={en.app.joined([each.job, each.kind])}
          value={each.unbilled_cost_minor === null ? '' : money(each.unbilled_cost_minor)}
          details={en.app.joined([
            t.row(each.first, day(each.opened_on)),
            t.warranty[each.warranty],
            hoursText(each.clocked_seconds),
            each.parts_cost_minor ? t.parts(money(each.parts_cost_minor)) : '',
            each.unknown_costs ? t.unknown(each.unknown_costs) : '',
          ])}
        />
      )}
    </List>
  )
}
