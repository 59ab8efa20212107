import { en } from '../../../domain/words'
import { customer, sitesOf } from '../../../store/customers'
import { jobsOfCustomer } from '../../../store/jobs'
import { machinesOf } from '../../../store/machines'
import { shop } from '../../../store/shop'
import { Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { JobRow } from '../jobs/JobRow'
import { Messages, Wants } from '../messages/Messages'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'

const its = en.customer

export function Customer({ id }: { id: string }) {
  const row = customer(id)
  if (!row) return <Nowhere back={{ at: 'find' }} />
  return (
    <Sheet
      over={row.archived ? `${its.title} · ${its.archived}` : its.title}
      title={row.name || en.app.noName}
      under={row.person}
      back={{ at: 'find' }}
      dock={<Slab words={its.newJob} hint={its.newJobFor(row.name)} to={{ at: 'new-job', customerId: id }} />}
    >
      <Keys tall>
        {row.phone && (
          <Key wide words={its.call(row.phone)} href={`tel:${row.phone.replace(/[^\d+]/g, '')}`} />
        )}
        {row.email && <Key wide words={its.write(row.email)} href={`mailto:${row.email}`} />}
      </Keys>
      <Facts
        facts={[
          [its.fields.address, row.address],
          [its.notes, row.notes],
          [
            its.fields.exempt,
            row.tax_exempt ? [its.exempt, row.exempt_reason].filter(Boolean).join(': ') : null,
          ],
        ]}
      />
      <Keys tall>
        <Key wide words={its.edit} to={{ at: 'customer-edit', id }} />
      </Keys>
      <Part title={its.machines}>
        <Rows items={machinesOf(id)} keyOf={(machine) => machine.id} empty={its.noMachines}>
          {(machine) => (
            <Row
              to={{ at: 'machine', id: machine.id }}
              lead={machineName(machine)}
              also={machine.serial && `${en.machine.serial} ${machine.serial}`}
            />
          )}
        </Rows>
        <Keys tall>
          <Key wide words={its.addMachine} to={{ at: 'customer-machine', id }} />
        </Keys>
      </Part>
      <Part title={its.jobs}>
        <Rows items={jobsOfCustomer(id)} keyOf={(job) => job.id} empty={its.noJobs}>
          {(job) => <JobRow job={job} by="customer" />}
        </Rows>
      </Part>
      <Messages
        kind="customer"
        ids={[id, ...jobsOfCustomer(id).map((job) => job.id)]}
        owner={row}
        text={en.messages.log.hello(shop.value?.name ?? '')}
      />
      <Wants owner={row} />
      <Part title={its.sites}>
        <Rows items={sitesOf(id)} keyOf={(site) => site.id} empty={its.noSites}>
          {(site) => (
            <Row
              to={{ at: 'site-edit', id: site.id }}
              lead={site.label}
              also={[site.address, site.access_notes].filter(Boolean).join(' · ')}
            />
          )}
        </Rows>
        <Keys tall>
          <Key wide words={its.addSite} to={{ at: 'customer-site', id }} />
        </Keys>
      </Part>
    </Sheet>
  )
}
