import { computed, effect } from '@preact/signals'
import { useContext, useErrorBoundary } from 'preact/hooks'
import { en } from '../domain/words'
import { scheme, textSize } from '../store/browser/preferences'
import { syncSummary } from '../store/queue/queue'
import { proofAsked } from '../store/session/proof'
import { isSignedOff, session } from '../store/session/session'
import { PrimaryButton } from './components/Button'
import { Page } from './components/Page'
import { StatusLine } from './components/StatusLine'
import { Announcer } from './components/Toast'
import { customerMode } from './customerMode'
import { watchForInstallOffer } from './install'
import { LoadingPage } from './LoadingPage'
import { lazy } from './lazy'
import { PaneContext } from './pane'
import { renderRoute } from './renderRoute'
import { opensSignedOut } from './routeAccess'
import { buildPath, currentRoute, type Route, startRouter } from './router'
import { SignIn } from './screens/session/SignIn'
import { currentToast, dismissReadToast } from './toast'
import { isWide } from './wide'

const CustomerModeScreen = lazy(
  async () => (await import('./screens/customerMode/CustomerModeScreen')).CustomerModeScreen,
  { Instead: LoadingPage },
)
const SignedOff = lazy(async () => (await import('./screens/session/SignedOff')).SignedOff, {
  Instead: LoadingPage,
})
const ProofDialog = lazy(async () => (await import('./features/passkeys/ProofDialog')).ProofDialog)
const Desk = lazy(async () => (await import('./desk/Desk')).Desk, {
  ahead: isWide,
  Instead: LoadingPage,
})

startRouter()
watchForInstallOffer()
const path = computed(() => buildPath(currentRoute.value))
path.subscribe(dismissReadToast)
effect(() => {
  const page = document.documentElement
  page.setAttribute('data-scheme', scheme.value)
  page.setAttribute('data-text', textSize.value)
})

/** The app: the screen shown, and what tells screen readers what happened, whatever screen that ends on. */
export function App() {
  return (
    <>
      <Shown />
      <Announcer text={currentToast.value?.text} />
      {proofAsked.value && <ProofDialog onAnswer={proofAsked.value} />}
    </>
  )
}

/** The screen shown: the customer's in customer mode, sign-in until someone is signed in, else that of the route. */
function Shown() {
  const { state } = session.value
  if (state === 'unknown') return <LoadingPage />
  if (state === 'signed_out')
    return opensSignedOut(currentRoute.value.at) ? renderRoute(currentRoute.value) : <SignIn />
  if (isSignedOff.value) return <SignedOff />
  if (!syncSummary.value.ready && !syncSummary.value.waiting)
    return (
      <LoadingPage
        state={en.signIn.loading}
        hint={syncSummary.value.lost ? en.queueLine.lost(syncSummary.value.lost) : en.signIn.loadingHint}
      />
    )
  const customer = customerMode.value
  if (customer) return <GuardedScreen key={customer.id} route={null} />
  if (isWide.value) return <Desk screenOf={guardedScreen} />
  return <GuardedScreen key={path.value} route={currentRoute.value} />
}

const guardedScreen = (route: Route) => <GuardedScreen key={buildPath(route)} route={route} />

/**
 * The screen of a route, or without one the customer's; where it has thrown, a page with a button that renders it
 * again. Drafts and saves are kept.
 */
function GuardedScreen({ route }: { route: Route | null }) {
  const [broken, again] = useErrorBoundary()
  const pane = useContext(PaneContext)
  if (!broken) return route ? renderRoute(route) : <CustomerModeScreen />
  return (
    <Page
      title={en.app.broken}
      statusLine={
        !pane && <StatusLine label={en.app.name} place={en.app.places.today} back={{ at: 'today' }} />
      }
      toast={currentToast.value}
      dock={<PrimaryButton label={en.app.tryAgain} onPress={again} />}
    >
      <p>{en.app.brokenHint}</p>
    </Page>
  )
}
