import { en } from '../../../domain/words'
import { moreGroups } from '../../../domain/words/moreGroups'
import { session } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { MENU_WORDS } from '../../menuWords'
import { type MenuRouteName, menuRoutes } from '../../routeAccess'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'

type Group = keyof typeof moreGroups

/** The heading under which each screen is listed; the order within one is that of `routes.ts`. */
const GROUP_OF: Record<MenuRouteName<'more'>, Group> = {
  sheets: 'work',
  'services-due': 'work',
  calculators: 'work',
  gauges: 'work',
  'check-lists': 'work',
  orders: 'parts',
  suppliers: 'parts',
  'lead-times': 'parts',
  stock: 'parts',
  catalog: 'parts',
  'price-lists': 'parts',
  payments: 'money',
  ageing: 'money',
  'money-reports': 'money',
  books: 'money',
  'my-time': 'time',
  reports: 'time',
  prices: 'shop',
  messages: 'shop',
  shop: 'shop',
  'billing-settings': 'shop',
  calendar: 'shop',
  members: 'shop',
  programs: 'shop',
  'set-up': 'shop',
  settings: 'shop',
}

/** Everything that is not one of the other places, under headings. */
export function More() {
  const open = menuRoutes('more')
  return (
    <ShopPage
      title={en.app.places.more}
      overline={en.app.joined([shop.value?.name, session.value.member?.name])}
    >
      <UpdateNotice />
      {(Object.keys(moreGroups) as Group[]).map((group) => (
        <Screens key={group} title={moreGroups[group]} of={open.filter((at) => GROUP_OF[at] === group)} />
      ))}
    </ShopPage>
  )
}

function Screens({ title, of }: { title: string; of: readonly MenuRouteName<'more'>[] }) {
  if (!of.length) return null
  return (
    <Section title={title}>
      <ul class="list">
        {of.map((at) => (
          <li key={at}>
            <ListItem title={MENU_WORDS[at].title} details={MENU_WORDS[at].hint} to={{ at } as Route} />
          </li>
        ))}
      </ul>
    </Section>
  )
}
