import { en } from '../../../domain/words'
import { session } from '../../../store/session/session'
import { shop } from '../../../store/shop'
import { ListItem } from '../../components/List'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { MENU_WORDS } from '../../menuWords'
import { menuRoutes } from '../../routeAccess'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'

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
            <ListItem title={MENU_WORDS[at].title} details={MENU_WORDS[at].hint} to={{ at } as Route} />
          </li>
        ))}
      </ul>
    </ShopPage>
  )
}
