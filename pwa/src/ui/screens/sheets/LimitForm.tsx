import type { Limit } from '../../../domain/contract'
import { sheets } from '../../../domain/words/sheets'
import { addLimit, editLimit, limit, removeLimit, sheet } from '../../../store/sheets'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { FormPage } from '../../FormPage'
import { unitOptions } from '../../features/sheets/unitOptions'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormPart, fieldBinder, useForm } from '../../useForm'
import { checkLimit, type LimitTyped, readLimit, typedOf } from './limitTyped'

const t = sheets.limit
const SHOWN = ['what', 'nominal', 'tolerance', 'unit']

export function NewLimit({ id }: { id: string }) {
  return <LimitForm sheetId={id} seen={null} />
}

export function ChangeLimit({ id }: { id: string }) {
  const row = limit(id)
  const seen = useOriginal(`limit:${id}`, row)
  return row && seen ? <LimitForm sheetId={row.sheet_id} seen={seen} /> : <NotFound />
}

function LimitForm({ sheetId, seen }: { sheetId: string; seen: Limit | null }) {
  const form = useForm({
    name: `limit:${seen?.id ?? sheetId}`,
    blank: typedOf(seen),
    check: checkLimit,
    save: (typed) => {
      const wanted = readLimit(typed)
      if (!wanted) return null
      return seen ? editLimit(seen, wanted) : addLimit({ sheet_id: sheetId, ...wanted })
    },
    back: { at: 'sheet', id: sheetId },
  })
  const { field } = form
  return (
    <FormPage
      form={form}
      overline={sheet(sheetId)?.title ?? ''}
      title={seen ? t.editTitle : t.newTitle}
      saveLabel={t.save}
    >
      <TextField label={t.what} {...field('what')} />
      <div class="field-pair">
        <TextField decimal label={t.nominal} {...field('nominal')} />
        <TextField decimal label={t.tolerance} {...field('tolerance')} />
      </div>
      <SelectField label={t.unit} options={unitOptions()} {...field('unit')} />
      <OtherLimitFields {...form} />
      {seen && (
        <>
          <p class="hint">
            {t.version(seen.version)}. {t.versionHint}
          </p>
          <ButtonRow stacked>
            <Button
              wide
              label={t.remove}
              onPress={() => void form.remove({ action: () => remove(seen), text: t.removed })}
            />
          </ButtonRow>
        </>
      )}
    </FormPage>
  )
}

/** The fields of a limit that are seldom needed. */
function OtherLimitFields(part: FormPart<LimitTyped>) {
  const field = fieldBinder(part)
  const { fields, errors, update } = part
  return (
    <More
      label={t.more}
      names={t.moreNames}
      invalid={Object.keys(errors).some((name) => errors[name] && !SHOWN.includes(name))}
    >
      <div class="field-pair">
        <TextField decimal label={t.low} {...field('low')} />
        <TextField decimal label={t.high} {...field('high')} />
      </div>
      <TextField label={t.condition} hint={t.conditionHint} {...field('condition')} />
      <TextField label={t.manual} hint={t.manualHint} {...field('manual')} />
      <TextField label={t.page} {...field('page')} />
      <CheckboxGroup
        label={t.critical}
        values={fields.critical ? ['critical'] : []}
        options={[{ value: 'critical', label: t.criticalHint }]}
        onValuesChange={(values) => update({ critical: values.length > 0 })}
      />
    </More>
  )
}

async function remove({ id, created_at: _, changed_at: __, version: ___, ...row }: Limit) {
  await removeLimit(id)
  return () => addLimit(row)
}
