import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { en } from '../../domain/words'
import { heading } from '../heading'
import { buildPath, type Route } from '../router'
import { Toast, type ToastMessage } from './Toast'

export interface QueueStatus {
  text: string
  /** Something needs a person's attention. */
  needsAttention: boolean
}

interface Props {
  title: string
  /** One line above the title, such as the kind of thing shown. */
  overline?: string
  subtitle?: ComponentChildren
  badge?: ComponentChildren
  back?: Route | undefined
  queue: QueueStatus | null
  toast: ToastMessage | null
  dock?: ComponentChildren
  variant?: string
  children: ComponentChildren
}

/** The layout of every screen: top bar with back link and queue status, page header, content, dock with the main action. */
export function Page({
  title,
  overline,
  subtitle,
  badge,
  back,
  queue,
  toast,
  dock,
  variant,
  children,
}: Props) {
  const headline = useRef<HTMLHeadingElement>(null)
  useEffect(() => {
    Object.assign(heading, { title, over: overline ?? '' })
    document.title = `${title} · ${en.app.name}`
    if (!document.activeElement || document.activeElement === document.body)
      headline.current?.focus({ preventScroll: true })
  }, [title, overline])
  return (
    <div class={variant ? `page ${variant}` : 'page'}>
      <a class="visually-hidden skip-link" href="#work">
        {en.app.skip}
      </a>
      {(back || queue) && (
        <nav class="top-bar" aria-label={en.app.name}>
          {back ? (
            <a href={buildPath(back)}>
              <span>← {back.at === 'today' ? en.app.today : en.app.back}</span>
            </a>
          ) : (
            <span class="app-name">{en.app.name}</span>
          )}
          {queue && (
            <a href="/queue" class={queue.needsAttention ? 'needs-attention' : undefined}>
              <span>{queue.text}</span>
            </a>
          )}
        </nav>
      )}
      <main id="work" tabIndex={-1}>
        <header class="page-header">
          <div>
            {overline && <p class="overline">{overline}</p>}
            <h1 ref={headline} tabIndex={-1}>
              {title}
            </h1>
            {subtitle && <div class="subtitle">{subtitle}</div>}
          </div>
          {badge}
        </header>
        {children}
      </main>
      <footer class="dock">
        <Toast message={toast} />
        {dock}
      </footer>
    </div>
  )
}
