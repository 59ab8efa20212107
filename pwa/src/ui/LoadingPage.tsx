import { useContext } from 'preact/hooks'
import { en } from '../domain/words'
import { Page } from './components/Page'
import { PaneContext } from './pane'
import { currentToast } from './toast'

interface Props {
  state?: string
  hint?: string
  failed?: boolean
}

/** Stands for a screen whose code or records are on their way, or did not come. */
export function LoadingPage({ state = `${en.app.loading} …`, hint, failed = false }: Props) {
  const pane = useContext(PaneContext)
  return (
    <Page
      title={en.app.name}
      subtitle={failed ? en.app.failed : state}
      toast={pane?.leads === false ? null : currentToast.value}
      busy={!failed}
    >
      <p role="status">{hint}</p>
    </Page>
  )
}
