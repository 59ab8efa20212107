import { en } from '../../domain/words'

/** What just happened, with a way to undo it where there is one. */
export interface ToastMessage {
  text: string
  undo?: () => void
  undoLabel?: string
  dismiss: () => void
}

/** One line that says what happened. The live region is always in the page, so that screen readers announce it. */
export function Toast({ message }: { message: ToastMessage | null }) {
  return (
    <div class="toast" role="status">
      {message && <span>{message.text}</span>}
      {message?.undo && (
        <button type="button" class="button" onClick={message.undo}>
          {message.undoLabel ?? en.app.undo}
        </button>
      )}
      {message && (
        <button type="button" class="button" aria-label={en.app.dismiss} onClick={message.dismiss}>
          ✕
        </button>
      )}
    </div>
  )
}
