import type { RefObject } from 'preact'
import { useContext, useEffect } from 'preact/hooks'
import { en } from '../domain/words'
import { heading } from './heading'
import { PaneContext } from './pane'

interface PageNames {
  title: string
  /** Names the window more closely. */
  subject?: string | undefined
  overline?: string | undefined
  headline?: RefObject<HTMLHeadingElement | null> | undefined
}

/** Names the window after the page, and gives its heading the focus where nothing has it; not beside an open item. */
export function usePageTitle({ title, subject = '', overline = '', headline }: PageNames): void {
  const leads = useContext(PaneContext)?.leads ?? true
  useEffect(() => {
    if (!leads) return
    Object.assign(heading, { title, over: overline })
    if (!document.activeElement || document.activeElement === document.body)
      headline?.current?.focus({ preventScroll: true })
  }, [title, overline, leads])
  useEffect(() => {
    if (leads) document.title = windowTitle(title, subject, overline)
  }, [title, subject, overline, leads])
}

/** "Edit job · M-0042 · Ann Ferrers · Drawbar": told apart in a list of windows, and when it is read out. */
function windowTitle(title: string, subject: string, overline: string): string {
  if (title.includes(subject)) return en.app.joined([title, en.app.name])
  return en.app.joined([subject.includes(title) ? overline : title, subject, en.app.name])
}
