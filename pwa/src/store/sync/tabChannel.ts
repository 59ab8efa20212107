import type { RowKey } from '../rows/view'

/** The sync status of this browser, reported by the tab that syncs. */
export interface SyncStatus {
  /** Whether the last request was answered. */
  signal: 'yes' | 'no' | 'unknown'
  working: boolean
  /** Why syncing waits for a person; null when it does not. */
  stopped: 'signed_out' | 'retired' | 'upgrade' | 'other_member' | null
  /** Fetched rows could not be stored: storage is full. */
  no_room: boolean
}

/** Messages between tabs and the sync worker. */
export type TabMessage =
  /** These rows, or the outbox, have changed in storage. */
  | { tell: 'rows'; keys: readonly RowKey[] }
  | { tell: 'everything' }
  /** Upload states have changed. */
  | { tell: 'pictures' }
  /** Drafts have changed. */
  | { tell: 'drafts' }
  | { tell: 'pulse'; pulse: SyncStatus }
  /** Requests a round now: a command was saved, the page is visible again, the connection is back. */
  | { tell: 'wake' }
  | { tell: 'session' }

/** A channel to every other tab and worker of this browser with the same member's data open. */
export class TabChannel {
  private channel: BroadcastChannel | null = null
  private readonly name: string
  private readonly onMessage: (message: TabMessage) => void

  constructor(name: string, hear: (message: TabMessage) => void) {
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
