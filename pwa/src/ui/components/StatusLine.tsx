import type { ComponentChildren } from 'preact'
import { buildPath, type Route } from '../router'

export interface SyncState {
  text: string
  /** Said to screen readers where the text alone is too short. */
  label?: string
  /** Drawn beside the text: everything sent, something to send, no signal, a person is needed. */
  mark: 'sent' | 'unsent' | 'no-signal' | 'needs-attention'
}

interface Props {
  label: string
  /** The name of this place, or of the screen that Back leads to. */
  place: string
  back?: Route | undefined
  sync?: SyncState
  /** Before the state of the outbox, and after it. */
  children?: ComponentChildren
  end?: ComponentChildren
}

/** The line at the head of a screen. */
export function StatusLine({ label, place, back, sync, children, end }: Props) {
  return (
    <nav class="top-bar" aria-label={label}>
      {back ? (
        <a class="place" href={buildPath(back)} rel="prev">
          <span aria-hidden="true">←</span> {place}
        </a>
      ) : (
        <span class="place">{place}</span>
      )}
      {children}
      {sync && (
        <a href="/queue" class={`sync-status ${sync.mark}`} aria-label={sync.label}>
          {sync.text}
        </a>
      )}
      {end}
    </nav>
  )
}

/** Search, at the end of the status line. */
export function SearchLink({ label, to }: { label: string; to: Route }) {
  return (
    <a class="search-link" href={buildPath(to)}>
      <span class="visually-hidden">{label}</span>
      <SearchIcon />
    </a>
  )
}

interface PaneBarProps {
  label: string
  back: { to: Route; text: string } | null
  close: { to: Route; text: string }
}

/** The line over the open item at the desk: back to the item it was opened from, and close. */
export function PaneBar({ label, back, close }: PaneBarProps) {
  return (
    <nav class="pane-bar" aria-label={label}>
      {back && (
        <a href={buildPath(back.to)} rel="prev">
          <span aria-hidden="true">←</span> {back.text}
        </a>
      )}
      <a class="close" href={buildPath(close.to)}>
        {close.text} <span aria-hidden="true">✕</span>
      </a>
    </nav>
  )
}

export function SearchIcon() {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true">
      <circle cx="10" cy="10" r="6.5" />
      <path d="M15 15l7 7" />
    </svg>
  )
}

interface BarProps<At extends string> {
  label: string
  places: readonly { at: At; text: string; path: string }[]
  current: At | undefined
}

/** The places of the app in words, within reach of the thumb. */
export function PlaceBar<At extends string>({ label, places, current }: BarProps<At>) {
  return (
    <nav class="place-bar" aria-label={label}>
      {places.map(({ at, text, path }) => (
        <a key={at} href={path} aria-current={at === current ? 'page' : undefined}>
          {text}
        </a>
      ))}
    </nav>
  )
}
