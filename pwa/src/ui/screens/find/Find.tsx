import { useSignal } from '@preact/signals'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { openJobs } from '../../../store/jobs'
import { search } from '../../../store/search'
import { Field } from '../../components/Field'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { JobRow } from '../jobs/JobRow'
import { machineName } from '../names'
import { Sheet } from '../Sheet'

const its = en.find

/** Customers, machines and jobs in one search over what the phone holds. */
export function Find() {
  const query = useSignal(sessionStorage.getItem('find') ?? '')
  const asked = query.value.trim()
  const found = asked ? search(asked) : { customers: [], machines: [], jobs: openJobs.value }
  const count = found.customers.length + found.machines.length + found.jobs.length
  return (
    <Sheet
      title={its.title}
      back={{ at: 'today' }}
      dock={<Slab words={en.today.newJob} hint={en.today.newJobHint} to={{ at: 'new-job' }} />}
    >
      <search>
        <Field
          type="search"
          label={its.label}
          hint={its.hint}
          value={query.value}
          capital="off"
          enter="search"
          onValue={(typed) => {
            query.value = typed
            sessionStorage.setItem('find', typed)
          }}
        />
      </search>
      {!asked && (
        <Keys tall>
          <Key wide words={en.dispatch.findTag} to={{ at: 'tag' }} />
        </Keys>
      )}
      <p class="unseen" role="status">
        {asked && its.found(count)}
      </p>
      {asked && count === 0 && (
        <Rows items={[]} keyOf={String} empty={its.none(asked)} emptyHint={its.noneHint}>
          {() => null}
        </Rows>
      )}
      {found.customers.length > 0 && (
        <Part title={its.customers}>
          <Rows items={found.customers} keyOf={(row) => row.id} empty="">
            {(row) => (
              <Row
                to={{ at: 'customer', id: row.id }}
                lead={row.name || en.app.noName}
                also={[row.person, row.phone, row.address.split('\n')[0]].filter(Boolean).join(' · ')}
              />
            )}
          </Rows>
        </Part>
      )}
      {found.machines.length > 0 && (
        <Part title={its.machines}>
          <Rows items={found.machines} keyOf={(row) => row.id} empty="">
            {(row) => (
              <Row
                to={{ at: 'machine', id: row.id }}
                lead={machineName(row)}
                also={[customer(row.customer_id)?.name, row.serial].filter(Boolean).join(' · ')}
              />
            )}
          </Rows>
        </Part>
      )}
      {found.jobs.length > 0 && (
        <Part title={asked ? its.jobs : its.openJobs}>
          <Rows items={found.jobs} keyOf={(row) => row.id} empty="">
            {(row) => <JobRow job={row} />}
          </Rows>
        </Part>
      )}
    </Sheet>
  )
}
