import type { Sheet } from '../../../domain/contract'
import { faultsOfSheet } from '../../../domain/machines/sheetFaults'
import { newSheetFor } from '../../../domain/machines/sheetToKeep'
import { sheets as t } from '../../../domain/words/sheets'
import { machine } from '../../../store/machines'
import { addSheet, editSheet, sheet } from '../../../store/sheets'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { More } from '../../components/More'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FieldErrors, useForm } from '../../useForm'
import { faultWords } from './faultWords'

type SheetFields = Omit<Sheet, 'id' | 'created_at' | 'changed_at' | 'archived'>

const BLANK: SheetFields = {
  title: '',
  kind: '',
  make: '',
  model: '',
  engine_make: '',
  engine_model: '',
  family: '',
  serial_from: '',
  serial_to: '',
  notes: '',
}
const SHOWN = ['title', 'make', 'model']

/** `machineId`: the machine that the new sheet is for. */
export function NewSheet({ machineId }: { machineId?: string }) {
  const known = machine(machineId ?? '')
  return (
    <SheetForm
      seen={null}
      blank={{ ...BLANK, ...(known && newSheetFor({ machine: known, job_mark: '' })) }}
    />
  )
}

export function ChangeSheet({ id }: { id: string }) {
  const row = sheet(id)
  const seen = useOriginal(`sheet:${id}`, row)
  if (!row || !seen) return <NotFound />
  const { id: _, created_at: __, changed_at: ___, archived: ____, ...blank } = seen
  return <SheetForm seen={seen} blank={blank} />
}

const check = (fields: SheetFields): FieldErrors => ({
  ...faultWords(faultsOfSheet(fields)),
  title: !fields.title.trim() && t.missingTitle,
})

function SheetForm({ seen, blank }: { seen: Sheet | null; blank: SheetFields }) {
  const form = useForm<SheetFields, string>({
    name: `sheet:${seen?.id ?? blank.model}`,
    blank,
    check,
    save: async (fields) => {
      if (!seen) return addSheet(fields)
      await editSheet(seen, fields)
      return seen.id
    },
    next: (id) => ({ at: 'sheet', id }),
    back: seen ? { at: 'sheet', id: seen.id } : { at: 'sheets' },
  })
  const { field, errors } = form
  const archive = async () => {
    if (seen) await editSheet(seen, { archived: true })
    return () => editSheet({ ...(seen as Sheet), archived: true }, { archived: false })
  }
  return (
    <FormPage form={form} overline={t.title} title={seen ? t.editTitle : t.newTitle} saveLabel={t.save}>
      <TextField label={t.fields.title} autocapitalize="words" {...field('title')} />
      <div class="field-pair">
        <TextField label={t.fields.make} autocapitalize="words" {...field('make')} />
        <TextField label={t.fields.model} autocapitalize="characters" {...field('model')} />
      </div>
      <More
        label={t.more}
        names={t.moreNames}
        invalid={Object.keys(errors).some((name) => errors[name] && !SHOWN.includes(name))}
      >
        <TextField label={t.fields.kind} {...field('kind')} />
        <div class="field-pair">
          <TextField label={t.fields.engineMake} autocapitalize="words" {...field('engine_make')} />
          <TextField label={t.fields.engineModel} autocapitalize="characters" {...field('engine_model')} />
        </div>
        <TextField label={t.fields.family} hint={t.fields.familyHint} {...field('family')} />
        <div class="field-pair">
          <TextField label={t.fields.serialFrom} autocapitalize="characters" {...field('serial_from')} />
          <TextField label={t.fields.serialTo} autocapitalize="characters" {...field('serial_to')} />
        </div>
        <p class="hint">{t.fields.serialHint}</p>
        <TextField multiline label={t.fields.notes} {...field('notes')} />
      </More>
      {seen && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.archive}
            onPress={() => void form.remove({ action: archive, text: t.archived, to: { at: 'sheets' } })}
          />
        </ButtonRow>
      )}
    </FormPage>
  )
}
