import type { SheetEntry, SheetEntryKind } from '../../../domain/contract'
import { faultsOfEntry } from '../../../domain/machines/sheetFaults'
import { sheets } from '../../../domain/words/sheets'
import { addSheetEntry, editSheetEntry, removeSheetEntry, sheet, sheetEntry } from '../../../store/sheets'
import { Button, ButtonRow } from '../../components/Button'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FieldErrors, useForm } from '../../useForm'
import { EntryFields } from './EntryFields'
import { type EntryTyped, readEntry, typedEntry } from './entryTyped'
import { faultWords } from './faultWords'

const t = sheets.entry

export function NewEntry({ id, kind }: { id: string; kind: SheetEntryKind }) {
  return <EntryForm sheetId={id} kind={kind} seen={null} />
}

export function ChangeEntry({ id }: { id: string }) {
  const row = sheetEntry(id)
  const seen = useOriginal(`sheet-entry:${id}`, row)
  return row && seen ? <EntryForm sheetId={row.sheet_id} kind={row.kind} seen={seen} /> : <NotFound />
}

function check(typed: EntryTyped): FieldErrors {
  const wanted = readEntry(typed)
  return {
    ...faultWords(
      faultsOfEntry({
        ...wanted,
        count: wanted.count ?? null,
        hours: wanted.hours ?? null,
        months: wanted.months ?? null,
        torque: wanted.torque ?? '',
      }),
    ),
    count: wanted.count === undefined && t.wrongCount,
    ...(wanted.hours === undefined && { hours: t.wrongHours }),
    months: wanted.months === undefined && t.wrongMonths,
    torque: wanted.torque === undefined && sheets.limit.wrongFigure,
  }
}

interface Props {
  sheetId: string
  kind: SheetEntryKind
  seen: SheetEntry | null
}

function EntryForm({ sheetId, kind, seen }: Props) {
  const form = useForm({
    name: `sheet-entry:${seen?.id ?? `${kind}-${sheetId}`}`,
    blank: typedEntry(kind, seen),
    check,
    save: (typed) => {
      const { count, hours, months, torque, ...rest } = readEntry(typed)
      if (count === undefined || hours === undefined || months === undefined || torque === undefined)
        return null
      const wanted = { ...rest, count, hours, months, torque }
      return seen ? editSheetEntry(seen, wanted) : addSheetEntry({ sheet_id: sheetId, ...wanted })
    },
    back: { at: 'sheet', id: sheetId },
  })
  return (
    <FormPage form={form} overline={sheet(sheetId)?.title ?? ''} title={t.titles[kind]} saveLabel={t.save}>
      <EntryFields {...form} />
      {seen && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.remove}
            onPress={() => void form.remove({ action: () => remove(seen), text: t.removed })}
          />
        </ButtonRow>
      )}
    </FormPage>
  )
}

async function remove({ id, created_at: _, changed_at: __, ...row }: SheetEntry) {
  await removeSheetEntry(id)
  return () => addSheetEntry(row)
}
