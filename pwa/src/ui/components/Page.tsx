import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { en } from '../../domain/words'
import { type Place, pathTo } from '../router'
import { type Telling, Told } from './Told'

export interface QueueLine {
  words: string
  /** Something a person has to look at. */
  calls: boolean
}

interface Props {
  title: string
  /** One line above the title, such as what kind of thing this is. */
  over?: string
  under?: ComponentChildren
  plate?: ComponentChildren
  back?: Place
  queue: QueueLine | null
  told: Telling | null
  dock?: ComponentChildren
  kind?: string
  children: ComponentChildren
}

/** One ticket on the screen: the strip with the way back and the queue, the head, the work, the dock. */
export function Page({ title, over, under, plate, back, queue, told, dock, kind, children }: Props) {
  const heading = useRef<HTMLHeadingElement>(null)
  useEffect(() => {
    document.title = `${title} · ${en.app.name}`
    if (!document.activeElement || document.activeElement === document.body)
      heading.current?.focus({ preventScroll: true })
  }, [title])
  return (
    <div class={kind ? `sheet ${kind}` : 'sheet'}>
      <a class="unseen skip" href="#work">
        {en.app.skip}
      </a>
      {(back || queue) && (
        <nav class="strip" aria-label={en.app.name}>
          {back ? (
            <a href={pathTo(back)}>
              <span>← {back.at === 'today' ? en.app.today : en.app.back}</span>
            </a>
          ) : (
            <span class="maker">{en.app.name}</span>
          )}
          {queue && (
            <a href="/queue" class={queue.calls ? 'calls' : undefined}>
              <span>{queue.words}</span>
            </a>
          )}
        </nav>
      )}
      <main id="work" tabIndex={-1}>
        <header class="head">
          <div>
            {over && <p class="over">{over}</p>}
            <h1 ref={heading} tabIndex={-1}>
              {title}
            </h1>
            {under && <div class="under">{under}</div>}
          </div>
          {plate}
        </header>
        {children}
      </main>
      <footer class="dock">
        <Told telling={told} />
        {dock}
      </footer>
    </div>
  )
}
