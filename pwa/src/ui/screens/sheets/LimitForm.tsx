import type { Limit } from '../../../domain/contract'
import { faultsOfLimit, isAmount } from '../../../domain/machines/limits'
import { UNITS } from '../../../domain/numbers/quantities'
import { sheets } from '../../../domain/words/sheets'
import { addLimit, editLimit, limit, removeLimit, sheet } from '../../../store/sheets'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { FormPage } from '../../FormPage'
import { figureText } from '../../features/sheets/sheetText'
import { lengthUnit, unitOptions } from '../../features/sheets/unitOptions'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { type FieldErrors, type FormPart, fieldBinder, useForm } from '../../useForm'
import { faultWords } from './faultWords'

const t = sheets.limit
const FIGURES = ['nominal', 'tolerance', 'low', 'high'] as const
const SHOWN = ['what', 'nominal', 'tolerance', 'unit']

type Typed = Pick<
  Limit,
  'what' | 'unit' | 'nominal' | 'tolerance' | 'low' | 'high' | 'condition' | 'manual' | 'page' | 'critical'
>

export function NewLimit({ id }: { id: string }) {
  return <LimitForm sheetId={id} seen={null} />
}

export function ChangeLimit({ id }: { id: string }) {
  const row = limit(id)
  const seen = useOriginal(`limit:${id}`, row)
  return row && seen ? <LimitForm sheetId={row.sheet_id} seen={seen} /> : <NotFound />
}

function typedOf(row: Limit | null): Typed {
  const figure = (name: (typeof FIGURES)[number]) => figureText(row?.[name] ?? '')
  return {
    what: row?.what ?? '',
    unit: row?.unit ?? lengthUnit(),
    nominal: figure('nominal'),
    tolerance: figure('tolerance'),
    low: figure('low'),
    high: figure('high'),
    condition: row?.condition ?? '',
    manual: row?.manual ?? '',
    page: row?.page ?? '',
    critical: row?.critical ?? false,
  }
}

/** A figure as the command takes it; null where it is not a number. */
function readFigure(typed: string): string | null {
  if (!typed.trim()) return ''
  const read = format.value.readNumber(typed.replace('−', '-'))
  return read !== null && isAmount(read) ? read : null
}

/** The limit as the command takes it; null while a figure is not a number. */
function read(typed: Typed) {
  const figures = FIGURES.map((name) => [name, readFigure(typed[name])] as const)
  const quantity = UNITS.get(typed.unit)?.quantity
  if (!quantity || figures.some(([, figure]) => figure === null)) return null
  const exact = Object.fromEntries(figures) as Record<(typeof FIGURES)[number], string>
  return { ...typed, ...exact, quantity }
}

function check(typed: Typed): FieldErrors {
  const wrong = FIGURES.filter((name) => readFigure(typed[name]) === null)
  const wanted = read(typed)
  return {
    ...(wanted && faultWords(faultsOfLimit(wanted))),
    ...Object.fromEntries(wrong.map((name) => [name, t.wrongFigure])),
    what: !typed.what.trim() && t.missingWhat,
  }
}

function LimitForm({ sheetId, seen }: { sheetId: string; seen: Limit | null }) {
  const form = useForm({
    name: `limit:${seen?.id ?? sheetId}`,
    blank: typedOf(seen),
    check,
    save: (typed) => {
      const wanted = read(typed)
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
function OtherLimitFields(part: FormPart<Typed>) {
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
