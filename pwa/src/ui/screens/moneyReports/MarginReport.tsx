import { en } from '../../../domain/words/index'
import { moneyReports } from '../../../domain/words/moneyReports'
import { type Margin, readMargin } from '../../../store/moneyReports'
import { type Bar, BarChart } from '../../components/BarChart'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { hoursText } from '../../features/reports/week'
import { format } from '../../shopFormat'
import { PeriodReport } from './PeriodReport'

const t = moneyReports.margin
type Group = Margin['whole']

/** Billed, cost of parts and margin: all jobs, by kind of machine, by person, and each job. */
export function MarginReport() {
  return (
    <PeriodReport title={t.title} report="margin" read={readMargin}>
      {({ whole, kinds, members, jobs }) =>
        jobs.length ? (
          <>
            <Whole group={whole} />
            <Groups title={t.kinds} groups={kinds} />
            <Groups title={t.members} groups={members} />
            <p class="hint">{t.how}</p>
            <Jobs jobs={jobs} />
          </>
        ) : (
          <p class="empty-state">{moneyReports.empty}</p>
        )
      }
    </PeriodReport>
  )
}

function Whole({ group }: { group: Group }) {
  const { money, percent } = format.value
  return (
    <Section title={t.whole} end={group.jobs}>
      <DescriptionList
        items={[
          [t.billed, money(group.billed_minor)],
          [t.parts, money(group.parts_cost_minor)],
          [t.margin, money(group.margin_minor)],
          ['', group.margin_percent === null ? null : t.percent(percent(group.margin_percent))],
          [t.hours, hoursText(group.clocked_seconds)],
          [t.perHour, group.per_hour_minor === null ? null : money(group.per_hour_minor)],
        ]}
      />
    </Section>
  )
}

function Groups({ title, groups }: { title: string; groups: readonly Group[] }) {
  const { money } = format.value
  if (!groups.length) return null
  const bars = groups.map(
    (group): Bar => ({
      name: group.name || en.app.noName,
      segments:
        group.margin_minor > 0
          ? [
              { pattern: 'solid', value: group.margin_minor },
              { pattern: 'plain', value: group.parts_cost_minor },
            ]
          : [],
      value: money(group.margin_minor),
      ariaLabel: en.app.listed([
        group.name,
        `${t.margin} ${money(group.margin_minor)}`,
        `${t.parts} ${money(group.parts_cost_minor)}`,
      ]),
    }),
  )
  return (
    <Section title={title}>
      <BarChart
        title={title}
        bars={bars}
        max={Math.max(1, ...groups.map((group) => group.billed_minor))}
        legend={[
          { pattern: 'solid', text: t.margin },
          { pattern: 'plain', text: t.parts },
        ]}
      />
    </Section>
  )
}

function Jobs({ jobs }: { jobs: Margin['jobs'] }) {
  const { money } = format.value
  return (
    <Section title={t.jobs} end={jobs.length}>
      <List items={jobs} keyOf={(each) => each.job_id} empty="" most={20}>
        {(each) => (
          <ListItem
            to={{ at: 'job', id: each.job_id }}
            title={en.app.joined([each.job, each.kind])}
            value={money(each.margin_minor)}
            details={en.app.joined([
              t.row(money(each.billed_minor), money(each.parts_cost_minor)),
              hoursText(each.clocked_seconds),
              each.unknown_costs ? t.unknown(each.unknown_costs) : '',
            ])}
          />
        )}
      </List>
    </Section>
  )
}
