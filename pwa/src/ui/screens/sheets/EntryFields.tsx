import { sheets } from '../../../domain/words/sheets'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { RadioGroup } from '../../components/RadioGroup'
import { unitOptions } from '../../features/sheets/unitOptions'
import { type FormPart, fieldBinder } from '../../useForm'
import type { EntryTyped } from './entryTyped'

const t = sheets.entry
const SHOWN = ['words', 'thread', 'count']
const KINDS = (['note', 'warning', 'lesson'] as const).map((value) => ({
  value,
  label: t.kinds[value],
  hint: t.kindHints[value],
}))

/** The fields of an entry, by its kind. */
export function EntryFields(part: FormPart<EntryTyped>) {
  const field = fieldBinder(part)
  const { kind } = part.fields
  if (kind === 'fastener') return <FastenerFields {...part} />
  if (kind === 'operation')
    return (
      <>
        <TextField label={t.work} {...field('words')} />
        <TextField decimal label={t.hours} {...field('hours')} />
      </>
    )
  if (kind === 'service')
    return (
      <>
        <TextField label={t.service} hint={t.serviceHint} {...field('words')} />
        <div class="field-pair">
          <TextField decimal label={t.everyHours} {...field('hours')} />
          <TextField decimal label={t.everyMonths} {...field('months')} />
        </div>
      </>
    )
  if (kind === 'order')
    return (
      <>
        <TextField label={t.first} {...field('first')} />
        <TextField label={t.second} {...field('second')} />
        <TextField multiline label={t.reason} {...field('words')} />
      </>
    )
  return (
    <>
      <TextField multiline label={t.words} {...field('words')} />
      <RadioGroup
        label={t.kind}
        options={KINDS}
        value={kind}
        onValueChange={(chosen) => part.update({ kind: chosen })}
      />
    </>
  )
}

function FastenerFields(part: FormPart<EntryTyped>) {
  const field = fieldBinder(part)
  const { fields, errors, update } = part
  return (
    <>
      <TextField label={t.place} {...field('words')} />
      <div class="field-pair">
        <TextField label={t.thread} autocapitalize="characters" {...field('thread')} />
        <TextField decimal label={t.count} {...field('count')} />
      </div>
      <More
        label={t.more}
        names={t.fastenerMore}
        invalid={Object.keys(errors).some((name) => errors[name] && !SHOWN.includes(name))}
      >
        <div class="field-pair">
          <TextField label={t.length} {...field('length')} />
          <TextField label={t.head} {...field('head')} />
        </div>
        <div class="field-pair">
          <TextField decimal label={t.torque} {...field('torque')} />
          <SelectField label={t.torqueUnit} options={unitOptions('torque')} {...field('torque_unit')} />
        </div>
        <TextField label={t.threadLocker} {...field('thread_locker')} />
        <CheckboxGroup
          label={t.oneUse}
          values={fields.one_use ? ['one_use'] : []}
          options={[{ value: 'one_use', label: t.oneUseHint }]}
          onValuesChange={(values) => update({ one_use: values.length > 0 })}
        />
      </More>
    </>
  )
}
