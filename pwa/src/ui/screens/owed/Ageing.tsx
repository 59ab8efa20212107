import { useContext } from 'preact/hooks'
import { BUCKETS } from '../../../domain/billing/ageing'
import { en } from '../../../domain/words'
import { owed as t } from '../../../domain/words/owed'
import { type OpenAmount, openAmounts } from '../../../store/owed'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { PaneContext } from '../../pane'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { AgeTable } from './AgeTable'
import { byCustomer, inBucket, sumOf } from './ageRows'

/** What customers owe by how late it is: a table at the desk, lists on the phone; each sum opens its invoices. */
export function Ageing() {
  const isDesk = useContext(PaneContext)
  const all = openAmounts(today())
  return (
    <ShopPage title={t.title} subtitle={format.value.money(sumOf(all))} {...(isDesk && { variant: 'wide' })}>
      {!all.length ? (
        <p class="empty-state">
          {t.none}
          <small>{t.noneHint}</small>
        </p>
      ) : isDesk ? (
        <AgeTable amounts={all} />
      ) : (
        <AgeLists amounts={all} />
      )}
    </ShopPage>
  )
}

function AgeLists({ amounts }: { amounts: readonly OpenAmount[] }) {
  const { money } = format.value
  const used = BUCKETS.filter((bucket) => inBucket(amounts, bucket).length)
  return (
    <>
      <Section title={t.byAge}>
        <List items={used} keyOf={(bucket) => bucket} empty="">
          {(bucket) => (
            <ListItem
              to={{ at: 'owed', bucket }}
              title={t.buckets[bucket]}
              value={money(sumOf(inBucket(amounts, bucket)))}
            />
          )}
        </List>
      </Section>
      <Section title={t.byCustomer}>
        <List items={byCustomer(amounts)} keyOf={({ id }) => id} empty="" most={60}>
          {({ id, name, own, sum }) => (
            <ListItem
              to={{ at: 'owed', customerId: id }}
              title={name}
              value={money(sum)}
              details={en.app.joined(
                BUCKETS.map((bucket) => {
                  const minor = sumOf(inBucket(own, bucket))
                  return minor ? `${t.buckets[bucket]} ${money(minor)}` : ''
                }),
              )}
            />
          )}
        </List>
      </Section>
    </>
  )
}
