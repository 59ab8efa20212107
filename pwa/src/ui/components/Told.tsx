import { en } from '../../domain/words'

/** What just happened, in words; with a way to take it back where there is one. */
export interface Telling {
  words: string
  undo?: () => void
  undoWords?: string
  dismiss: () => void
}

/** One line that says what happened. It is always in the page, so that it is read aloud. */
export function Told({ telling }: { telling: Telling | null }) {
  return (
    <div class="told" role="status">
      {telling && <span>{telling.words}</span>}
      {telling?.undo && (
        <button type="button" class="key" onClick={telling.undo}>
          {telling.undoWords ?? en.app.undo}
        </button>
      )}
      {telling && (
        <button type="button" class="key" aria-label={en.app.dismiss} onClick={telling.dismiss}>
          ✕
        </button>
      )}
    </div>
  )
}
