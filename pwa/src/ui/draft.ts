import { useEffect, useState } from 'preact/hooks'
import { noteDirty } from '../store/update'

/**
 * What was typed into a form and is not saved yet. It outlives a reload, a failed save and a walk to
 * another screen, until it is dropped. While the form is open and holds something, no new version of the
 * app takes over.
 */
export interface Draft<Fields> {
  fields: Fields
  put: (changed: Partial<Fields>) => void
  drop: () => void
}

const KEY = 'draft:'

/** @param name which form on which thing, such as `finding:<job id>` */
export function useDraft<Fields extends object>(name: string, blank: Fields): Draft<Fields> {
  const [fields, setFields] = useState<Fields>(() => ({ ...blank, ...kept(name) }))
  useEffect(() => {
    noteDirty(name, kept(name) !== null)
    return () => noteDirty(name, false)
  }, [name])
  return {
    fields,
    put(changed) {
      setFields((before) => {
        const after = { ...before, ...changed }
        sessionStorage.setItem(KEY + name, JSON.stringify(after))
        noteDirty(name, true)
        return after
      })
    },
    drop() {
      sessionStorage.removeItem(KEY + name)
      noteDirty(name, false)
    },
  }
}

function kept(name: string): object | null {
  const text = sessionStorage.getItem(KEY + name)
  return text === null ? null : (JSON.parse(text) as object)
}
