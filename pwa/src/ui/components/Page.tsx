import type { ComponentChildren } from 'preact'
import { useContext, useEffect, useRef } from 'preact/hooks'
import { keepFocusIn } from '../keepFocus'
import { PaneContext } from '../pane'
import { pageWords } from '../readerLanguage'
import { usePageTitle } from '../usePageTitle'
import { Toast, type ToastMessage } from './Toast'
import { unbroken } from './unbroken'

interface Props {
  title: string
  /** What the screen is about, for the title of the window; the title itself where that says it. */
  subject?: string
  /** One line above the title, such as the kind of thing shown. */
  overline?: string
  subtitle?: ComponentChildren
  badge?: ComponentChildren
  /** The line at the head: where Back leads, the clock, what is unsent, search. */
  statusLine?: ComponentChildren
  toast: ToastMessage | null
  /** The main action of a task. */
  dock?: ComponentChildren
  /** The places of the app, at the foot of a screen without a dock. */
  bar?: ComponentChildren
  variant?: string
  /** It stands for a page that is still loading, which will have the focus. */
  busy?: boolean
  children: ComponentChildren
}

/** The layout of every screen: status line, page header, content, and at the foot the main action or the places. */
export function Page({
  title,
  subject,
  overline,
  subtitle,
  badge,
  statusLine,
  toast,
  dock,
  bar,
  variant,
  busy,
  children,
}: Props) {
  const headline = useRef<HTMLHeadingElement>(null)
  usePageTitle({ title, subject, overline, headline: busy ? undefined : headline })
  const pane = useContext(PaneContext)
  const main = useRef<HTMLDivElement>(null)
  useEffect(() => (main.current ? keepFocusIn(main.current) : undefined), [])
  // At the desk the frame is around the page: the landmark, the link to it and the places are the frame's.
  const Content = pane ? 'div' : 'main'
  return (
    <div class={variant ? `page ${variant}` : 'page'} ref={main}>
      {!pane && (
        <a class="visually-hidden skip-link" href="#work">
          {pageWords.value.skip}
        </a>
      )}
      {statusLine}
      {/* Ahead of the content for the keyboard, below it on the screen. */}
      {!dock && bar}
      <Content
        class="page-content"
        id={pane ? undefined : 'work'}
        tabIndex={pane ? undefined : -1}
        aria-busy={busy}
      >
        <header class="page-header">
          <div>
            {overline && <p class="overline">{overline}</p>}
            <h1 ref={headline} tabIndex={-1}>
              {title}
            </h1>
            {subtitle && <div class="subtitle">{unbroken(subtitle)}</div>}
          </div>
          {badge}
        </header>
        {children}
      </Content>
      <footer class="dock">
        <Toast message={toast} />
        {dock}
      </footer>
    </div>
  )
}
