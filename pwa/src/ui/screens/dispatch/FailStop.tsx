import { type Failure, STOP_FAILURES, type Stop } from '../../../domain/contract'
import { isPendingStop } from '../../../domain/dispatch/runs'
import { en } from '../../../domain/words'
import { fail as t } from '../../../domain/words/arrival'
import { stop } from '../../../store/dispatch'
import { againOf, describeFailure, failStop } from '../../../store/runExceptions'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { aboutStop } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

/** The reason why a stop failed, with more detail than the one tap; it waits to be planned again unless not needed. */
export function FailStop({ id }: { id: string }) {
  const row = stop(id)
  return row ? <FailForm row={row} /> : <NotFound />
}

function FailForm({ row }: { row: Stop }) {
  const again = againOf(row)
  const form = useForm<{ why: Failure | null; note: string; again: boolean }>({
    name: `fail:${row.id}`,
    blank: {
      why: row.failure || null,
      note: row.failure_note,
      again: row.state !== 'failed' || (again !== undefined && again.state !== 'dropped'),
    },
    check: ({ why }) => ({ why: why === null && t.missing }),
    save: ({ why, note, again }) => {
      if (why === null) return null
      return row.state === 'failed'
        ? describeFailure(row, why, note.trim(), again)
        : failStop(row.id, why, note.trim(), again)
    },
    back: { at: 'stop', id: row.id },
    next: () => (row.run_id ? { at: 'run', id: row.run_id } : { at: 'stop', id: row.id }),
    saved: t.saved,
  })
  const { field } = form
  return (
    <FormPage form={form} overline={aboutStop(row).name} title={t.title} saveLabel={t.save}>
      <RadioGroup
        label={t.why}
        options={STOP_FAILURES.map((value) => ({ value, label: en.dispatch.failures[value] }))}
        {...field('why')}
      />
      <TextField multiline label={t.note} {...field('note')} />
      {(again === undefined || isPendingStop(again.state) || again.state === 'dropped') && (
        <BooleanRadioGroup
          label={t.again}
          options={[
            [true, t.againYes],
            [false, t.againNo],
          ]}
          {...field('again')}
        />
      )}
    </FormPage>
  )
}
