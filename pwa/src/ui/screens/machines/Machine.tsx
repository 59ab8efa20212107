import { shortCode } from '../../../domain/machine'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { printTags, tagsOf } from '../../../store/dispatch'
import { jobsOfMachine } from '../../../store/jobs'
import { lastMeter, machine } from '../../../store/machines'
import { Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { PrintKeys } from '../dispatch/PrintKeys'
import { JobRow } from '../jobs/JobRow'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Pictures } from '../pictures/Pictures'
import { Sheet } from '../Sheet'

const its = en.machine

export function Machine({ id }: { id: string }) {
  const row = machine(id)
  if (!row) return <Nowhere back={{ at: 'find' }} />
  const owner = customer(row.customer_id)
  const meter = lastMeter(id)
  return (
    <Sheet
      over={its.title}
      title={machineName(row)}
      back={{ at: 'customer', id: row.customer_id }}
      dock={
        <Slab
          words={its.newJob}
          hint={its.newJobFor([row.make, row.model].filter(Boolean).join(' ') || row.kind)}
          to={{ at: 'new-job', customerId: row.customer_id, machineId: id }}
        />
      }
    >
      <Row
        lead={owner?.name || en.app.noName}
        also={its.owner}
        to={{ at: 'customer', id: row.customer_id }}
      />
      <Facts
        facts={[
          [its.serial, row.serial],
          [its.year, row.year?.toString()],
          [its.engine, [row.engine_make, row.engine_model].filter(Boolean).join(' ')],
          [its.engineSerial, row.engine_serial],
          [its.tag, row.tag],
          [en.dispatch.paper.code, shortCode(row.id)],
          [its.fields.notes, row.notes],
        ]}
      />
      <Keys tall>
        <Key wide words={its.edit} to={{ at: 'machine-edit', id }} />
      </Keys>
      <Part title={its.hours}>
        <p class="lines">
          {meter
            ? its.hoursOn(figures.value.number(meter.hours), figures.value.day(meter.read_on))
            : its.noHours}
        </p>
        <Keys tall>
          <Key wide words={its.noteHours} to={{ at: 'machine-hours', id }} />
        </Keys>
      </Part>
      <PrintKeys
        words={en.dispatch.paper.tag}
        openWords={en.dispatch.paper.openTag}
        printout={tagsOf(id)}
        onAsk={() => printTags([id])}
      />
      <Pictures about_kind="machine" about_id={id} />
      <Part title={its.jobs}>
        <Rows items={jobsOfMachine(id)} keyOf={(job) => job.id} empty={its.noJobs}>
          {(job) => <JobRow job={job} by="machine" />}
        </Rows>
      </Part>
    </Sheet>
  )
}
