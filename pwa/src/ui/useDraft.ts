import { useEffect, useRef, useState } from 'preact/hooks'
import { noteUnsaved } from '../store/browser/appUpdate'
import { draftOf, dropDraft, keepDraft, savePendingOnPageEnd } from '../store/drafts'
import { formPicturesOf } from '../store/pictures/attachments'
import { heading } from './heading'

savePendingOnPageEnd()

/**
 * What was typed into a form and is not saved yet. It is stored on the phone until the form is saved or its draft is
 * discarded on the Today screen. While the form is open and holds something, no new version of the app takes over.
 */
export interface Draft<Fields> {
  fields: Fields
  update: (changed: Partial<Fields>) => void
  discard: () => void
}

/** The rows that forms edit, by the form's name, as they were when it was opened. */
const originals = new Map<string, unknown>()

/**
 * The row that a form edits, as it was when typing began, so that saving an old draft changes only what was typed and
 * nothing that others have changed since. Undefined until the row is on the phone; null where the form creates one.
 */
export function useOriginal<Row>(name: string, row: Row): Row {
  const [opened] = useState(() => (draftOf(name)?.seen as Row | undefined) ?? row)
  const first = useRef(opened)
  if (first.current === undefined) first.current = row
  originals.set(name, first.current)
  return first.current
}

const storedFields = (name: string): object => draftOf(name)?.fields ?? {}

/**
 * @param name the form and its subject, such as `finding:<job id>`
 * @param stored false: what is typed is not stored on the phone, such as a password
 */
export function useDraft<Fields extends object>(name: string, blank: Fields, stored = true): Draft<Fields> {
  const [fields, setFields] = useState<Fields>(() => ({ ...blank, ...storedFields(name) }))
  const latest = useRef(fields)
  useEffect(() => {
    noteUnsaved(name, draftOf(name) !== undefined)
    return () => noteUnsaved(name, false)
  }, [name])
  return {
    fields,
    update(changed) {
      // Not in the state updater, which may run later: a page that is closed at once must have stored it.
      const after = { ...latest.current, ...changed }
      latest.current = after
      setFields(after)
      if (!stored) return
      const emptied = JSON.stringify(after) === JSON.stringify(blank) && !formPicturesOf(name).length
      if (emptied) void dropDraft(name)
      else storeFields(name, after)
      noteUnsaved(name, !emptied)
    },
    discard() {
      void dropDraft(name)
      noteUnsaved(name, false)
    },
  }
}

/** Starts a draft for a form in which a picture was taken, even if nothing was typed. */
export function startDraft(name: string): void {
  storeFields(name, storedFields(name))
}

function storeFields(name: string, fields: object): void {
  const seen = draftOf(name)?.seen ?? originals.get(name)
  const path = location.pathname + location.search
  keepDraft({ name, fields, ...(seen !== undefined && { seen }), path, ...heading, typed_at: Date.now() })
}
