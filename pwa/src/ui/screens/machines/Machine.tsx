import type { Machine as MachineRow } from '../../../domain/contract'
import { shortCode } from '../../../domain/machines/machineText'
import { en } from '../../../domain/words'
import { sheetsMenu } from '../../../domain/words/sheetsMenu'
import { customer } from '../../../store/customers'
import { printTags, tagsOf } from '../../../store/dispatchCommands'
import { jobsOfMachine } from '../../../store/jobs'
import { lastMeter, machine } from '../../../store/machines'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { Warranty } from '../../features/comebacks/Warranty'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { JobRow } from '../../features/jobs/JobRow'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { Services } from './Services'

const t = en.machine

export function Machine({ id }: { id: string }) {
  const row = machine(id)
  if (!row) return <NotFound />
  const customerRow = customer(row.customer_id)
  return (
    <ShopPage
      overline={t.title}
      title={machineName(row)}
      back={{ at: 'customer', id: row.customer_id }}
      dock={
        <PrimaryButton
          label={t.newJob}
          hint={t.newJobFor([row.make, row.model].filter(Boolean).join(' ') || row.kind)}
          to={{ at: 'new-job', customerId: row.customer_id, machineId: id }}
          shortcut="machine.job"
        />
      }
    >
      <ListItem
        title={customerRow?.name || en.app.noName}
        details={t.customer}
        to={{ at: 'customer', id: row.customer_id }}
      />
      <MachineFacts row={row} />
      <ButtonRow stacked>
        <Button wide label={sheetsMenu.title} to={{ at: 'machine-known', id }} />
        <Button wide label={t.edit} to={{ at: 'machine-edit', id }} shortcut="machine.edit" />
      </ButtonRow>
      <Warranty machineId={id} />
      <MeterReadings id={id} />
      <Services row={row} />
      <PrintButtons
        words={en.dispatch.printouts.tag}
        openWords={en.dispatch.printouts.openTag}
        printout={tagsOf(id)}
        onAsk={() => printTags([id])}
      />
      <Pictures about_kind="machine" about_id={id} />
      <Section title={t.jobs}>
        {jobsOfMachine(id).length > 0 && (
          <ButtonRow stacked>
            <Button wide label={en.machineHistory.title} to={{ at: 'machine-history', id }} />
          </ButtonRow>
        )}
        <List items={jobsOfMachine(id)} keyOf={(job) => job.id} empty={t.noJobs}>
          {(job) => <JobRow job={job} by="machine" />}
        </List>
      </Section>
    </ShopPage>
  )
}

function MachineFacts({ row }: { row: MachineRow }) {
  return (
    <DescriptionList
      items={[
        [t.serial, row.serial && <Serial text={row.serial} />],
        [t.year, row.year?.toString()],
        [t.engine, [row.engine_make, row.engine_model].filter(Boolean).join(' ')],
        [t.engineSerial, row.engine_serial && <Serial text={row.engine_serial} />],
        [t.tag, row.tag && <Serial text={row.tag} />],
        [en.dispatch.printouts.code, <Serial key="code" text={shortCode(row.id)} />],
        [t.fields.notes, row.notes],
      ]}
    />
  )
}

function MeterReadings({ id }: { id: string }) {
  const meter = lastMeter(id)
  return (
    <Section title={t.hours}>
      <p class="multiline">
        {meter ? t.hoursOn(format.value.number(meter.hours), format.value.day(meter.read_on)) : t.noHours}
      </p>
      <ButtonRow stacked>
        <Button wide label={t.noteHours} to={{ at: 'machine-hours', id }} shortcut="machine.hours" />
      </ButtonRow>
    </Section>
  )
}
