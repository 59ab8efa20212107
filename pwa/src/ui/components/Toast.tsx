import { en } from '../../domain/words'
import { pageWords } from '../readerLanguage'

/** What just happened, with a way to undo it where there is one. */
export interface ToastMessage {
  text: string
  undo?: () => void
  undoLabel?: string
  dismiss: () => void
}

/**
 * Says what happened to screen readers. It is in the document for as long as the app runs: a region that comes with the
 * screen it speaks of is not read out.
 */
export function Announcer({ text }: { text: string | undefined }) {
  return (
    <p class="visually-hidden" role="status" data-announcer>
      {text}
    </p>
  )
}

/** One line that says what happened. */
export function Toast({ message }: { message: ToastMessage | null }) {
  return (
    <div class="toast">
      {message && <span>{message.text}</span>}
      {message?.undo && (
        <button type="button" class="button" onClick={message.undo}>
          {message.undoLabel ?? en.app.undo}
        </button>
      )}
      {message && (
        <button type="button" class="button" aria-label={pageWords.value.dismiss} onClick={message.dismiss}>
          ✕
        </button>
      )}
    </div>
  )
}
