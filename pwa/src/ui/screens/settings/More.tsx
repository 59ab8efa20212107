import { en } from '../../../domain/words'
import { crew } from '../../../domain/words/members'
import { settings as messages } from '../../../domain/words/noticeSettings'
import { session } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { ListItem } from '../../components/List'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { type MenuRouteName, menuRoutes } from '../../routeAccess'
import { ShopPage } from '../../ShopPage'

const t = en.settings

const ROWS: Record<MenuRouteName<'more'>, { title: string; hint?: string }> = {
  'my-time': { title: en.clockFace.myTime },
  reports: { title: en.timeReports.reports.title, hint: t.hoursHint },
  messages,
  prices: { title: t.prices, hint: t.pricesHint },
  shop: { title: t.company },
  members: crew,
  'set-up': { title: en.setUp.title },
  settings: { title: t.title, hint: t.hint },
}

/** Everything that is not one of the other places. */
export function More() {
  return (
    <ShopPage
      title={en.app.places.more}
      overline={en.app.joined([shop.value?.name, session.value.member?.name])}
    >
      <UpdateNotice />
      <ul class="list">
        {menuRoutes('more').map((at) => (
          <li key={at}>
            <ListItem title={ROWS[at].title} details={ROWS[at].hint} to={{ at }} />
          </li>
        ))}
      </ul>
    </ShopPage>
  )
}
