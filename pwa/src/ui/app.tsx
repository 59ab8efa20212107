import { computed, effect } from '@preact/signals'
import { useErrorBoundary } from 'preact/hooks'
import { en } from '../domain/words'
import { scheme, textSize } from '../store/preferences'
import { status } from '../store/queue'
import { session } from '../store/session'
import { Page } from './components/Page'
import { Slab } from './components/Press'
import { handed } from './handed'
import { watchForInstallOffer } from './install'
import { pathTo, place, startRouter } from './router'
import { FirstShop, OwnerView } from './screens/later'
import { screenAt } from './screens/screens'
import { SignIn } from './screens/session/SignIn'
import { leaveBehind, telling } from './telling'

startRouter()
watchForInstallOffer()
const path = computed(() => pathTo(place.value))
path.subscribe(leaveBehind)
effect(() => {
  const page = document.documentElement
  page.setAttribute('data-scheme', scheme.value)
  page.setAttribute('data-text', textSize.value)
})

/** The one screen that is shown: the owner's while they hold the phone, sign-in until someone is known. */
export function App() {
  const { state } = session.value
  if (state === 'unknown') return <Wait words={en.app.loading} />
  if (state === 'signed_out') return place.value.at === 'first-shop' ? <FirstShop /> : <SignIn />
  if (!status.value.ready && !status.value.waiting)
    return <Wait words={en.signIn.loading} hint={en.signIn.loadingHint} />
  return <At key={handed.value?.id ?? path.value} />
}

/** Where a screen breaks, what was typed and saved is still there; another try starts it anew. */
function At() {
  const [broken, again] = useErrorBoundary()
  if (!broken) return handed.value ? <OwnerView /> : screenAt(place.value)
  return (
    <Page
      title={en.app.broken}
      back={{ at: 'today' }}
      queue={null}
      told={telling.value}
      dock={<Slab words={en.app.tryAgain} onPress={again} />}
    >
      <p>{en.app.brokenHint}</p>
    </Page>
  )
}

function Wait({ words, hint }: { words: string; hint?: string }) {
  return (
    <Page title={en.app.name} under={words} queue={null} told={telling.value}>
      <p role="status">{hint}</p>
    </Page>
  )
}
