import { useRef } from 'preact/hooks'
import type { LineKind, Quote, QuoteLine } from '../../../domain/contract'
import { currentRoute } from '../../router'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { type LineFormFields, parseLine, toLineFormFields } from './lineFormFields'
import { firstLine, saveLine } from './newLine'

export interface LineFormProps {
  row: Quote
  kind: LineKind
  seen: QuoteLine | null
  findingId: string
  workId: string
  /** The line is saved, and an empty form for the next one is asked for. */
  onAnother?: (saved: LineFormFields) => void
}

/** The form of a line, and how it is submitted: to leave it, or with an empty form for the next one. */
export function useLineForm(
  { row, kind, seen, findingId, workId, onAnother }: LineFormProps,
  machineKind: string,
) {
  const another = useRef(false)
  const saved = useRef<LineFormFields | null>(null)
  const blank = firstLine(row, kind, { findingId, workId }, machineKind)
  const form = useForm<LineFormFields>({
    name: `line:${seen?.id ?? `${row.id}:${kind}:${findingId}${workId}`}`,
    blank: seen ? toLineFormFields(seen, blank, format.value) : blank,
    check: (fields) => parseLine(kind, fields, row.basis, format.value).faults ?? {},
    save: (fields) => {
      saved.current = fields
      return saveLine(row, kind, seen, fields)
    },
    back: { at: 'quote', id: row.id },
    next: () => {
      if (!another.current) return { at: 'quote', id: row.id }
      if (saved.current) onAnother?.(saved.current)
      return currentRoute.value
    },
  })
  const submit = (andAnother: boolean) => {
    another.current = andAnother
    form.submit()
  }
  return { form, submit }
}
