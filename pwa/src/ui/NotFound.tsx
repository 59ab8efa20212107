import { en } from '../domain/words'
import { PrimaryButton } from './components/Button'
import { parentRoute } from './routeAccess'
import { currentRoute, type Route } from './router'
import { ShopPage } from './ShopPage'

/** Shown where the screen or row of an address is not on this phone. */
export function NotFound({ back = parentRoute(currentRoute.value.at) ?? { at: 'today' } }: { back?: Route }) {
  return (
    <ShopPage
      title={en.app.notFound}
      back={back}
      dock={<PrimaryButton label={en.app.today} to={{ at: 'today' }} />}
    >
      <p>{en.app.notFoundHint}</p>
    </ShopPage>
  )
}
