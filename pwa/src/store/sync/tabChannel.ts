import type { RowKey } from '../rows/view'

/** How the syncing of this browser stands, as reported by the one tab that does it. */
export interface SyncStatus {
  /** Whether the last request came back. */
  signal: 'yes' | 'no' | 'unknown'
  working: boolean
  /** Why syncing waits for a person; null when it does not. */
  stopped: 'signed_out' | 'retired' | 'upgrade' | 'other_member' | null
  /** What came could not be written down: the phone is full. */
  no_room: boolean
}

/** What tabs and the syncing worker tell each other. */
export type TabMessage =
  /** These rows, or the outbox, are new in storage. */
  | { tell: 'rows'; keys: readonly RowKey[] }
  | { tell: 'everything' }
  /** How far the pictures taken here have come. */
  | { tell: 'pictures' }
  /** What is typed into forms that are not saved yet. */
  | { tell: 'drafts' }
  | { tell: 'pulse'; pulse: SyncStatus }
  /** Somebody wants a round now: a command was saved, the screen woke up, the line came back. */
  | { tell: 'wake' }
  | { tell: 'session' }

/** Reaches every other tab and worker of this browser that has the same member's data open. */
export class TabChannel {
  private channel: BroadcastChannel | null = null
  private readonly name: string
  private readonly onMessage: (told: TabMessage) => void

  constructor(name: string, hear: (told: TabMessage) => void) {
    this.name = name
    this.onMessage = hear
    this.open()
  }

  /** Listens again after `close`. */
  open(): void {
    if (typeof BroadcastChannel === 'undefined' || this.channel) return
    this.channel = new BroadcastChannel(this.name)
    this.channel.onmessage = (event: MessageEvent<TabMessage>) => this.onMessage(event.data)
  }

  post(message: TabMessage): void {
    this.channel?.postMessage(message)
  }

  close(): void {
    this.channel?.close()
    this.channel = null
  }
}
