import type { Key } from './view'

/** How the syncing of this browser stands, as told by the one tab that does it. */
export interface Pulse {
  /** Whether the last request came back. */
  signal: 'yes' | 'no' | 'unknown'
  working: boolean
  /** Why syncing waits for a person; null when it does not. */
  stopped: 'signed_out' | 'retired' | 'upgrade' | 'other_member' | null
  /** What came could not be written down: the phone is full. */
  no_room: boolean
}

/** What tabs and the syncing worker tell each other. */
export type Told =
  /** These rows, or the outbox, are new in storage. */
  | { tell: 'rows'; keys: readonly Key[] }
  | { tell: 'everything' }
  /** How far the pictures taken here have come. */
  | { tell: 'pictures' }
  | { tell: 'pulse'; pulse: Pulse }
  /** Somebody wants a round now: a command was saved, the screen woke up, the line came back. */
  | { tell: 'wake' }
  | { tell: 'session' }

/** Reaches every other tab and worker of this browser that has the same member's data open. */
export class Channel {
  private readonly wire: BroadcastChannel | null

  constructor(name: string, hear: (told: Told) => void) {
    this.wire = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(name)
    if (this.wire) this.wire.onmessage = (event: MessageEvent<Told>) => hear(event.data)
  }

  tell(told: Told): void {
    this.wire?.postMessage(told)
  }

  close(): void {
    this.wire?.close()
  }
}
