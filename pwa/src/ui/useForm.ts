import { useRef, useState } from 'preact/hooks'
import { en } from '../domain/words'
import { parentRoute } from './routeAccess'
import { currentRoute, navigate, type Route } from './router'
import { showToast } from './toast'
import { useDraft } from './useDraft'

/** What is wrong, by field; a field without text is valid. */
export type FieldErrors = Readonly<Record<string, string | false | null | undefined>>

/** The server's refusal: by field, else one message. */
export interface SaveRejection {
  done: false
  words: string
  fields: readonly { field: string; words: string }[]
}

interface FormOptions<Fields, Saved> {
  /** The name of the form and its subject, such as `finding:<job id>`: what is typed is stored as a draft under it. */
  name: string
  blank: Fields
  /** `false`: what is typed is not stored on the phone, such as a password. */
  draft?: false
  /** Validates what was typed. Nothing is saved while it returns an error. */
  check?: (fields: Fields) => FieldErrors
  /** Saves what was typed; null where nothing can be saved, for which `check` gives the reason. */
  save: (fields: Fields) => Promise<NoInfer<Saved> | SaveRejection> | null
  /** The screen to go back to, if not the one of the route table. */
  back?: Route
  /** The screen after a save, if not back. */
  next?: (saved: Saved) => Route
  /** The toast after a save, if not the usual one; null: none. */
  saved?: string | ((fields: Fields) => string) | null
  /** How to undo the save, offered in that toast. */
  undo?: (saved: Saved) => () => Promise<unknown>
}

/** The props of one field: `<TextField label="Name" {...form.field('name')} />`. */
export interface FieldProps<Value> {
  value: Value
  error: string | undefined
  onValueChange: (value: Value) => void
}

interface Removal {
  /** Removes it, and returns how to undo that where it can be undone. */
  action: () => Promise<(() => Promise<unknown>) | undefined>
  /** The toast after the removal. */
  text: string
  undoLabel?: string
  /** The screen after the removal, if not back. */
  to?: Route
}

/** Fields with their errors and the function to change them: of a whole form, or of a part of it. */
export type FormPart<Fields> = Pick<FormState<Fields>, 'fields' | 'errors' | 'update'>

/** Returns a function from the name of a field to its props. */
export const fieldBinder =
  <Fields>({ fields, errors, update }: FormPart<Fields>): FormState<Fields>['field'] =>
  (name) => ({
    value: fields[name],
    error: errors[name],
    onValueChange: (value) => update({ [name]: value } as unknown as Partial<Fields>),
  })

export interface FormState<Fields, Saved = unknown> {
  /** The id of the `<form>`, for the button in the dock that submits it. */
  id: string
  fields: Fields
  update: (changed: Partial<Fields>) => void
  field: <Name extends keyof Fields & string>(name: Name) => FieldProps<Fields[Name]>
  errors: Readonly<Record<string, string | undefined>>
  busy: boolean
  back: Route
  /** Validates what was typed and shows the errors. */
  validate: () => boolean
  /** Validates, then saves, or runs `work` instead. */
  submit: (work?: (fields: Fields) => Promise<NoInfer<Saved> | SaveRejection> | null) => void
  /** Saves without validation: for an action that needs none of the fields. */
  saveUnchecked: (work: () => Promise<Saved | SaveRejection> | null) => void
  /** Discards what was typed and goes back, or to another screen. */
  leave: (to?: Route) => void
  /** Removes the subject of the form, offers to undo that, and leaves. */
  remove: (removal: Removal) => Promise<void>
}

/** A form from its draft to its save. After a failed save everything stays as it is and can be saved again. */
export function useForm<Fields extends object, Saved = unknown>(
  outline: FormOptions<Fields, Saved>,
): FormState<Fields, Saved> {
  const { name, blank, draft, check, save, next, undo, saved: said = en.app.savedHere } = outline
  const back = outline.back ?? parentRoute(currentRoute.value.at) ?? { at: 'today' }
  const { fields, update, discard } = useDraft<Fields>(name, blank, draft)
  const [errors, setErrors] = useState<Readonly<Record<string, string | undefined>>>({})
  const { busy, once } = useSingleFlight()
  const fault = (faults: FieldErrors) => {
    const found = withoutEmpty(faults)
    setErrors(found)
    return Object.keys(found).length === 0
  }
  const isRight = () => fault(check?.(fields) ?? {})
  const leave = (to: Route = back) => {
    discard()
    navigate(to, { replace: true })
  }
  const send: FormState<Fields, Saved>['saveUnchecked'] = (work) =>
    void once(async () => {
      const saved = await work()
      if (saved === null) return
      if (isRejection(saved)) {
        if (saved.fields.length) fault(byField(saved.fields))
        else showToast(saved.words)
        return
      }
      if (said !== null) showToast(typeof said === 'string' ? said : said(fields), undo?.(saved))
      leave(next?.(saved))
    })
  return {
    id: name.split(':')[0] ?? name,
    fields,
    update,
    field: fieldBinder({ fields, errors, update }),
    errors,
    busy,
    back,
    validate: isRight,
    submit(work = save) {
      if (isRight()) send(() => work(fields))
    },
    saveUnchecked: send,
    leave,
    remove: ({ action, text, undoLabel, to }) =>
      once(async () => {
        showToast(text, await action(), undoLabel)
        leave(to)
      }),
  }
}

/** Runs one thing at a time, however often it is pressed; shows a toast when the phone could not store it. */
function useSingleFlight(): { busy: boolean; once: (work: () => Promise<void>) => Promise<void> } {
  const [busy, setBusy] = useState(false)
  const running = useRef(false)
  return {
    busy,
    async once(work) {
      if (running.current) return
      running.current = true
      setBusy(true)
      try {
        await work()
      } catch {
        showToast(en.app.notSaved)
      } finally {
        running.current = false
        setBusy(false)
      }
    },
  }
}

const withoutEmpty = (faults: FieldErrors): Record<string, string> =>
  Object.fromEntries(Object.entries(faults).flatMap(([field, words]) => (words ? [[field, words]] : [])))

const byField = (faults: SaveRejection['fields']): FieldErrors =>
  Object.fromEntries(faults.map(({ field, words }) => [field, words]))

function isRejection(saved: unknown): saved is SaveRejection {
  return typeof saved === 'object' && saved !== null && 'done' in saved && saved.done === false
}
