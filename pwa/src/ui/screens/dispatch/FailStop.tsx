import { useState } from 'preact/hooks'
import type { Failure, Stop } from '../../../domain/rows'
import { isAhead } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { fail as its } from '../../../domain/words.telling'
import { stop, stopsOfJob } from '../../../store/dispatch'
import { failStop, sayWhy } from '../../../store/trouble'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'

const REASONS: readonly Failure[] = ['nobody_home', 'gate_locked', 'too_wet', 'machine_not_ready', 'other']

/** Why nothing came of a stop, said more exactly than by the one tap; it waits again unless it is not needed. */
export function FailStop({ id }: { id: string }) {
  const row = stop(id)
  return row ? <Why row={row} /> : <Nowhere />
}

function Why({ row }: { row: Stop }) {
  const again = stopsOfJob(row.job_id).find((each) => each.again_of_id === row.id)
  const { fields, put, drop } = useDraft<{ why: Failure | null; note: string; again: boolean }>(
    `fail:${row.id}`,
    {
      why: row.failure || null,
      note: row.failure_note,
      again: row.state !== 'failed' || (again !== undefined && again.state !== 'dropped'),
    },
  )
  const [wrong, setWrong] = useState<{ why?: string }>({})
  const { busy, send } = useSend()

  function save() {
    const { why, note } = fields
    if (why === null) return setWrong({ why: its.missing })
    void send(
      () =>
        row.state === 'failed'
          ? sayWhy(row, why, note.trim(), fields.again)
          : failStop(row.id, why, note.trim(), fields.again),
      () => {
        drop()
        goTo(row.run_id ? { at: 'run', id: row.run_id } : { at: 'stop', id: row.id }, { instead: true })
      },
      its.saved,
    )
  }
  return (
    <Sheet
      over={aboutStop(row).name}
      title={its.title}
      back={{ at: 'stop', id: row.id }}
      dock={<Slab words={its.save} form="fail" busy={busy} />}
    >
      <Form id="fail" wrong={wrong} onSend={save}>
        <Choice
          label={its.why}
          value={fields.why}
          wrong={wrong.why}
          options={REASONS.map((value) => ({ value, words: en.dispatch.failures[value] }))}
          onValue={(why) => put({ why })}
        />
        <Field area label={its.note} value={fields.note} onValue={(note) => put({ note })} />
        {(again === undefined || isAhead(again.state) || again.state === 'dropped') && (
          <Choice
            label={its.again}
            value={fields.again ? 'yes' : 'no'}
            options={[
              { value: 'yes', words: its.againYes },
              { value: 'no', words: its.againNo },
            ]}
            onValue={(value) => put({ again: value === 'yes' })}
          />
        )}
      </Form>
    </Sheet>
  )
}
