import type { Customer as CustomerRow } from '../../../domain/contract'
import { restOfPlace, telLink } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { languageNames } from '../../../domain/words/languages'
import { owed } from '../../../domain/words/owed'
import { customer, sitesOf } from '../../../store/customers'
import { jobsOfCustomer } from '../../../store/jobs'
import { machinesOf } from '../../../store/machines'
import { shop } from '../../../store/shop'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { JobRow } from '../../features/jobs/JobRow'
import { MessageOptOuts, Messages } from '../../features/messages/Messages'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'

const t = en.customer

export function Customer({ id }: { id: string }) {
  const row = customer(id)
  if (!row) return <NotFound />
  return (
    <ShopPage
      overline={row.archived ? `${t.title} · ${t.archived}` : t.title}
      title={row.name || en.app.noName}
      subtitle={row.person}
      dock={
        <PrimaryButton
          label={t.newJob}
          hint={t.newJobFor(row.name)}
          to={{ at: 'new-job', customerId: id }}
          shortcut="customer.job"
        />
      }
    >
      <ContactButtons row={row} />
      <DescriptionList
        items={[
          [en.intake.wish, row.contact_by && en.contactWishes[row.contact_by]],
          [t.fields.address, [row.address, row.country].filter(Boolean).join('\n')],
          [t.notes, row.notes],
          [t.fields.language, (row.language ?? 'en') === 'en' ? null : languageNames[row.language]],
          [t.fields.exempt, row.tax_exempt ? [t.exempt, row.exempt_reason].filter(Boolean).join(': ') : null],
        ]}
      />
      <ButtonRow stacked>
        <Button wide label={t.edit} to={{ at: 'customer-edit', id }} shortcut="customer.edit" />
        <Button wide label={owed.statement} hint={owed.statementHint} to={{ at: 'statement', id }} />
      </ButtonRow>
      <CustomerMachines id={id} />
      <Section title={t.jobs}>
        <List items={jobsOfCustomer(id)} keyOf={(job) => job.id} empty={t.noJobs}>
          {(job) => <JobRow job={job} by="customer" />}
        </List>
      </Section>
      <Messages
        kind="customer"
        ids={[id, ...jobsOfCustomer(id).map((job) => job.id)]}
        recipient={row}
        text={en.messages.log.hello(shop.value?.name ?? '')}
      />
      <MessageOptOuts customer={row} />
      <CustomerSites id={id} />
    </ShopPage>
  )
}

/** Calls the customer, or writes to them. */
function ContactButtons({ row }: { row: CustomerRow }) {
  return (
    <ButtonRow stacked>
      {row.phone && (
        <Button
          wide
          label={t.call(row.person || row.name, row.phone)}
          href={telLink(row.phone)}
          shortcut="customer.call"
        />
      )}
      {row.second_phone && (
        <Button wide label={t.callSecond(row.second_phone)} href={telLink(row.second_phone)} />
      )}
      {row.email && (
        <Button wide label={t.write(row.email)} href={`mailto:${row.email}`} shortcut="customer.write" />
      )}
    </ButtonRow>
  )
}

function CustomerMachines({ id }: { id: string }) {
  return (
    <Section title={t.machines}>
      <List items={machinesOf(id)} keyOf={(machine) => machine.id} empty={t.noMachines}>
        {(machine) => (
          <ListItem
            to={{ at: 'machine', id: machine.id }}
            title={machineName(machine)}
            details={
              machine.serial && (
                <>
                  {en.machine.serial} <Serial text={machine.serial} />
                </>
              )
            }
          />
        )}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.addMachine} to={{ at: 'customer-machine', id }} shortcut="customer.machine" />
      </ButtonRow>
    </Section>
  )
}

function CustomerSites({ id }: { id: string }) {
  return (
    <Section title={t.sites}>
      <List items={sitesOf(id)} keyOf={(site) => site.id} empty={t.noSites}>
        {(site) => (
          <ListItem
            to={{ at: 'site-edit', id: site.id }}
            title={site.label}
            details={[restOfPlace(site.label, site.address), site.access_notes].filter(Boolean).join(' · ')}
          />
        )}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.addSite} to={{ at: 'customer-site', id }} shortcut="customer.place" />
      </ButtonRow>
    </Section>
  )
}
