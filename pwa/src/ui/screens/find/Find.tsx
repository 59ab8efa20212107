import { useSignal } from '@preact/signals'
import type { Customer, Machine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { openJobs } from '../../../store/jobs'
import { search } from '../../../store/search/search'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { JobRow } from '../../features/jobs/JobRow'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { isPartial } from '../../StillComing'

const t = en.find

/** One search over the customers, machines and jobs on this phone. */
export function Find() {
  const query = useSignal(sessionStorage.getItem('find') ?? '')
  const asked = query.value.trim()
  const found = asked ? search(asked) : { customers: [], machines: [], jobs: openJobs.value }
  const count = found.customers.length + found.machines.length + found.jobs.length
  return (
    <ShopPage
      title={t.title}
      dock={<PrimaryButton label={en.today.newJob} hint={en.today.newJobHint} to={{ at: 'new-job' }} />}
    >
      <search>
        <TextField
          type="search"
          label={t.label}
          hint={t.hint}
          value={query.value}
          autocapitalize="off"
          enterKey="search"
          onValueChange={(typed) => {
            query.value = typed
            sessionStorage.setItem('find', typed)
          }}
        />
      </search>
      {!asked && (
        <ButtonRow stacked>
          <Button wide label={en.dispatch.findTag} to={{ at: 'tag' }} />
        </ButtonRow>
      )}
      <p class="visually-hidden" role="status">
        {asked && t.found(count)}
      </p>
      {asked && count === 0 && (
        <List
          items={[]}
          keyOf={String}
          empty={isPartial() ? en.coming.notYet(asked) : t.none(asked)}
          emptyHint={isPartial() ? en.coming.hint : t.noneHint}
        >
          {() => null}
        </List>
      )}
      {found.customers.length > 0 && <FoundCustomers rows={found.customers} />}
      {found.machines.length > 0 && <FoundMachines rows={found.machines} />}
      {found.jobs.length > 0 && (
        <Section title={asked ? t.jobs : t.openJobs}>
          <List items={found.jobs} keyOf={(row) => row.id} empty="">
            {(row) => <JobRow job={row} />}
          </List>
        </Section>
      )}
    </ShopPage>
  )
}

function FoundCustomers({ rows }: { rows: readonly Customer[] }) {
  return (
    <Section title={t.customers}>
      <List items={rows} keyOf={(row) => row.id} empty="">
        {(row) => (
          <ListItem
            to={{ at: 'customer', id: row.id }}
            title={row.name || en.app.noName}
            details={[row.person, row.phone, row.address.split('\n')[0]].filter(Boolean).join(' · ')}
          />
        )}
      </List>
    </Section>
  )
}

function FoundMachines({ rows }: { rows: readonly Machine[] }) {
  return (
    <Section title={t.machines}>
      <List items={rows} keyOf={(row) => row.id} empty="">
        {(row) => (
          <ListItem
            to={{ at: 'machine', id: row.id }}
            title={machineName(row)}
            details={
              <>
                {[customer(row.customer_id)?.name, row.serial && ' '].filter(Boolean).join(' · ')}
                <Serial text={row.serial} />
              </>
            }
          />
        )}
      </List>
    </Section>
  )
}
