import { useState } from 'preact/hooks'
import type { Failure } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { failStop, stop } from '../../../store/dispatch'
import { permissions } from '../../../store/session'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'

const its = en.dispatch.fail
const REASONS: readonly Failure[] = ['nobody_home', 'gate_locked', 'too_wet', 'machine_not_ready', 'other']

/** Why nothing came of a stop; it waits to be planned again unless it is not needed any more. */
export function FailStop({ id }: { id: string }) {
  const row = stop(id)
  const { fields, put, drop } = useDraft<{
    why: Failure | null
    note: string
    again: boolean
    replan: boolean
  }>(`fail:${id}`, { why: null, note: '', again: true, replan: false })
  const [wrong, setWrong] = useState<{ why?: string }>({})
  const { busy, send } = useSend()
  if (!row) return <Nowhere />

  function save() {
    const { why, note, again, replan } = fields
    if (why === null) return setWrong({ why: its.missing })
    void send(
      () => failStop(id, { reason: why, note: note.trim(), again, replan: again && replan }),
      () => {
        drop()
        goTo(row?.run_id ? { at: 'run', id: row.run_id } : { at: 'stop', id }, { instead: true })
      },
      its.saved,
    )
  }
  return (
    <Sheet
      over={aboutStop(row).name}
      title={its.title}
      back={{ at: 'stop', id }}
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
        <Choice
          label={its.again}
          value={fields.again ? 'yes' : 'no'}
          options={[
            { value: 'yes', words: its.againYes },
            { value: 'no', words: its.againNo },
          ]}
          onValue={(value) => put({ again: value === 'yes' })}
        />
        {fields.again && permissions.value.has('plan_runs') && (
          <Keys tall>
            <Key
              wide
              words={its.replan}
              hint={its.replanHint}
              pressed={fields.replan}
              onPress={() => put({ replan: !fields.replan })}
            />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}
