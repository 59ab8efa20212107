import { useState } from 'preact/hooks'

/**
 * What was typed into a form and is not saved yet. It outlives a reload, a failed save and a walk to
 * another screen, until it is dropped.
 */
export interface Draft<Fields> {
  fields: Fields
  put: (fields: Partial<Fields>) => void
  drop: () => void
}

const KEY = 'draft:'

/** @param name which form on which thing, such as `finding:<job id>` */
export function useDraft<Fields extends object>(name: string, blank: Fields): Draft<Fields> {
  const [held, setHeld] = useState(() => ({ name, fields: { ...blank, ...readDraft(name) } as Fields }))
  const now = held.name === name ? held : { name, fields: { ...blank, ...readDraft(name) } as Fields }
  return {
    fields: now.fields,
    put(changed) {
      setHeld((before) => {
        const fields = { ...(before.name === name ? before.fields : now.fields), ...changed }
        sessionStorage.setItem(KEY + name, JSON.stringify(fields))
        return { name, fields }
      })
    },
    drop() {
      sessionStorage.removeItem(KEY + name)
    },
  }
}

function readDraft(name: string): object {
  const kept = sessionStorage.getItem(KEY + name)
  return kept ? (JSON.parse(kept) as object) : {}
}

/** Whether any form stands half-filled on this phone. */
export function anyDraft(): boolean {
  return Object.keys(sessionStorage).some((key) => key.startsWith(KEY))
}
