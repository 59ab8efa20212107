import type { Fastener, TorqueUnit } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import {
  editFastener,
  fastener,
  movesOf,
  recordFastener,
  removalStep,
  removeFastener,
} from '../../../store/teardown'
import { Button, ButtonRow } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { SelectField, TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import {
  blankFastener,
  type FastenerForm,
  FLAGS,
  fastenerFaults,
  fastenerFields,
  torqueDoubt,
  UNITS,
} from './fastenerForm'
import { nameOfStep, placeName, torqueText } from './stepName'

export function NewFastener({ id: stepId }: { id: string }) {
  return removalStep(stepId) ? <Fields stepId={stepId} seen={null} /> : <NotFound />
}

export function ChangeFastener({ id }: { id: string }) {
  const row = fastener(id)
  const seen = useOriginal(`fastener:${id}`, row)
  return row && seen ? <Fields stepId={row.step_id} seen={seen} /> : <NotFound />
}

function Fields({ stepId, seen }: { stepId: string; seen: Fastener | null }) {
  const form = useForm<FastenerForm>({
    name: `fastener:${seen?.id ?? stepId}`,
    blank: blankFastener(seen ?? undefined),
    check: fastenerFaults,
    save: (fields) =>
      seen
        ? editFastener(seen, fastenerFields(fields))
        : recordFastener({ step_id: stepId, ...fastenerFields(fields) }),
    back: { at: 'removal-step', id: stepId },
  })
  const { field, fields } = form
  const doubt = torqueDoubt(fields, fields.torque, fields.torque_unit)
  return (
    <FormPage
      form={form}
      overline={nameOfStep(stepId)}
      title={seen ? t.editFastener : t.addFastener}
      saveLabel={t.save}
      after={seen && <Became row={seen} onRemove={() => void form.remove(removal(seen))} />}
    >
      <div class="part-fields">
        <TextField label={t.thread} hint={t.threadHint} {...field('thread')} />
        <TextField label={t.length} {...field('length')} />
      </div>
      <TextField label={t.count} decimal {...field('count')} />
      <TextField label={t.fastenerPlace} {...field('place')} />
      <CheckboxGroup
        label={t.flags}
        values={form.fields.flags}
        options={FLAGS}
        onValuesChange={(flags) => form.update({ flags })}
      />
      <div class="part-fields">
        <TextField label={t.torque} hint={t.torqueHint} decimal {...field('torque')} />
        <SelectField
          label={t.unit}
          options={UNITS}
          value={form.fields.torque_unit}
          error={form.errors['torque_unit']}
          onValueChange={(unit) => form.update({ torque_unit: unit as TorqueUnit })}
        />
      </div>
      {doubt && <p role="note">{doubt}</p>}
      <TextField label={t.threadLocker} {...field('thread_locker')} />
      <div class="part-fields">
        <TextField label={t.head} {...field('head')} />
        <TextField label={t.grade} {...field('grade')} />
      </div>
    </FormPage>
  )
}

const removal = (row: Fastener) => ({
  action: async () => {
    await removeFastener(row.id)
    const { step_id } = row
    return () => recordFastener({ step_id, ...fastenerFields(blankFastener(row)) })
  },
  text: t.fastenerDeleted,
})

/** What became of a fastener so far, and what else can be recorded. */
function Became({ row, onRemove }: { row: Fastener; onRemove: () => void }) {
  const moves = movesOf(row.id)
  return (
    <Section title={t.became}>
      {moves.length > 0 && (
        <List items={moves} keyOf={({ id }) => id} empty="">
          {({ kind, count, at_id, torque, torque_unit, tool, moved_at }) => {
            const at = at_id ? fastener(at_id) : undefined
            return (
              <ListItem
                title={t.moveLine(count, t.moveKinds[kind])}
                details={[torqueText({ torque, torque_unit }), tool, at && placeName(at)]
                  .filter(Boolean)
                  .join(', ')}
                value={format.value.moment(moved_at)}
              />
            )
          }}
        </List>
      )}
      <ButtonRow stacked>
        <Button wide label={t.record} to={{ at: 'fastener-move', id: row.id }} />
        {moves.length === 0 && <Button wide label={t.deleteFastener} onPress={onRemove} />}
      </ButtonRow>
    </Section>
  )
}
