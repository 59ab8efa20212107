import type { Fastener, TorqueUnit } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { movesOf, recordMove } from '../../../store/teardown'
import { Button } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { currentRoute } from '../../router'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { readTorque, torqueDoubt, UNITS } from './fastenerForm'
import { sizeName, torqueText } from './stepName'

/** A pass of tightening: the torque, the tool, and one press that keeps it. Each pass stays in the ledger. */
export function TorqueTick({ row }: { row: Fastener }) {
  const passes = movesOf(row.id).filter(({ kind }) => kind === 'tightened')
  const form = useForm<{ torque: string; unit: string; tool: string }, () => Promise<unknown>>({
    name: `torque:${row.id}`,
    blank: {
      torque: row.torque === null ? '' : format.value.number(row.torque),
      unit: row.torque_unit,
      tool: passes.at(-1)?.tool ?? '',
    },
    check: ({ torque, unit, tool }) => ({
      torque: readTorque(torque) === null && t.badTorque,
      unit: !unit && t.noUnit,
      tool: !tool.trim() && t.missingTool,
    }),
    save: ({ torque, unit, tool }) =>
      recordMove({
        fastener_id: row.id,
        kind: 'tightened',
        count: row.count,
        torque: readTorque(torque),
        torque_unit: unit as TorqueUnit,
        tool: tool.trim(),
      }),
    saved: t.tightenedToast,
    undo: (undo) => undo,
    // It stays where it is.
    next: () => currentRoute.value,
  })
  const doubt = torqueDoubt(row, form.fields.torque, form.fields.unit)
  return (
    <fieldset class="option-group">
      <legend>{t.tightenTo(sizeName(row))}</legend>
      {passes.map(({ id, count, torque, torque_unit, tool }) => (
        <p key={id}>{t.tightened(count, torqueText({ torque, torque_unit }), tool)}</p>
      ))}
      <div class="two-columns">
        <TextField label={t.torque} decimal {...form.field('torque')} />
        <SelectField label={t.unit} options={UNITS} {...form.field('unit')} />
      </div>
      {doubt && <p role="note">{doubt}</p>}
      <TextField label={t.tool} hint={t.toolHint} {...form.field('tool')} />
      <Button wide label={t.tighten} hint={`${row.count} × ${sizeName(row)}`} onPress={() => form.submit()} />
    </fieldset>
  )
}
