import type { Fastener, FastenerMoveKind } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { fastener, recordMove, removalStep, teardownOf } from '../../../store/teardown'
import { SelectField, TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { isCount } from './fastenerForm'
import { placeName, sizeName } from './stepName'

const KINDS: readonly FastenerMoveKind[] = ['back', 'new', 'replaced', 'scrapped', 'spare']

/** Records what became of some fasteners: back in, at their own place or another, scrapped, left over. */
export function FastenerMoveForm({ id }: { id: string }) {
  const row = fastener(id)
  return row ? <Fields row={row} /> : <NotFound />
}

function Fields({ row }: { row: Fastener }) {
  const jobId = removalStep(row.step_id)?.job_id ?? ''
  const form = useForm<{ kind: FastenerMoveKind; count: string; at: string }, () => Promise<unknown>>({
    name: `fastener-move:${row.id}`,
    blank: { kind: 'back', count: '1', at: '' },
    check: ({ count }) => ({ count: !isCount(count) && t.badCount }),
    save: ({ kind, count, at }) =>
      recordMove({
        fastener_id: row.id,
        kind,
        count: Number(count),
        at_id: kind === 'back' && at ? at : null,
      }),
    saved: t.recorded,
    undo: (undo) => undo,
    back: { at: 'job-fasteners', id: jobId },
  })
  const others = teardownOf(jobId)
    .fasteners.filter(({ id }) => id !== row.id)
    .map((each) => [each.id, `${placeName(each)} (${sizeName(each)})`] as const)
  return (
    <FormPage form={form} overline={placeName(row)} title={sizeName(row)} saveLabel={t.save}>
      <RadioGroup
        label={t.recordTitle}
        options={KINDS.map((value) => ({ value, label: t.moveKinds[value] }))}
        {...form.field('kind')}
      />
      <TextField label={t.count} decimal {...form.field('count')} />
      {form.fields.kind === 'back' && others.length > 0 && (
        <SelectField label={t.moveAt} options={[['', t.moveOwn], ...others]} {...form.field('at')} />
      )}
    </FormPage>
  )
}
