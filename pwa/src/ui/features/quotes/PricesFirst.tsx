import { en } from '../../../domain/words'
import { unconfirmedPrices } from '../../../store/priceBook'
import { permissions } from '../../../store/session/session'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { buildPath, currentRoute, type Route } from '../../router'
import { ShopPage } from '../../ShopPage'

const t = en.prices

/** Stands in the way of a first offer while nobody has confirmed the prices, and leads to them and back. */
export function PricesFirst({ back }: { back: Route }) {
  const parts = unconfirmedPrices.value
  const allowed = permissions.value.has('edit_shop')
  const to = { at: 'prices', of: parts.join(','), from: buildPath(currentRoute.value) } as const
  return (
    <ShopPage
      title={t.confirmTitle}
      back={back}
      dock={allowed && <PrimaryButton label={t.confirmFirst} hint={t.confirmFirstHint} to={to} />}
    >
      <p class="multiline">{allowed ? t.confirmHint : t.confirmOwner}</p>
      <Section title={t.confirmList}>
        <List items={parts} keyOf={String} empty="">
          {(part) => <ListItem title={t.parts[part]} />}
        </List>
      </Section>
    </ShopPage>
  )
}
