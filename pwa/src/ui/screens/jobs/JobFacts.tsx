import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer, site } from '../../../store/customers'
import { jobsOfMachine } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { machineName } from '../../names'
import { dayOf, format } from '../../shopFormat'

const t = en.job

/** Customer, machine and appointments of the job. */
export function JobFacts({ row }: { row: Job }) {
  const customerRow = customer(row.customer_id)
  const place = row.site_id && site(row.site_id)
  return (
    <Section title={t.about}>
      <ListItem
        title={customerRow?.name || en.app.noName}
        details={customerRow?.phone}
        to={{ at: 'customer', id: row.customer_id }}
      />
      <ListItem
        title={machineName(machine(row.machine_id))}
        details={machine(row.machine_id)?.serial && <Serial text={machine(row.machine_id)?.serial} />}
        to={{ at: 'machine', id: row.machine_id }}
      />
      <ListItem
        title={en.machineHistory.title}
        value={en.machineHistory.jobs(jobsOfMachine(row.machine_id).length)}
        to={{ at: 'machine-history', id: row.machine_id }}
      />
      <DescriptionList
        items={[
          [t.opened, format.value.day(dayOf(row.opened_at))],
          [en.fieldNames['urgency'] ?? '', row.urgency === 'usual' ? null : en.urgencies[row.urgency]],
          [en.fieldNames['arrives_by'] ?? '', row.arrives_by && en.arrivals[row.arrives_by]],
          [en.intake.needed, row.promised_on && format.value.weekday(row.promised_on)],
          [t.fields.site, place ? [place.label, place.access_notes].filter(Boolean).join('\n') : t.atShop],
          [t.notes, row.notes],
        ]}
      />
      <ButtonRow stacked>
        <Button wide label={t.edit} to={{ at: 'job-edit', id: row.id }} shortcut="job.edit" />
      </ButtonRow>
    </Section>
  )
}
