import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { lastMeter, machine, recordMeter } from '../../../store/machines'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, today } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'

const its = en.meter

export function Meter({ id }: { id: string }) {
  const row = machine(id)
  const last = lastMeter(id)
  const { fields, put, drop } = useDraft(`meter:${id}`, { hours: '', fresh: false })
  const [wrong, setWrong] = useState<{ hours?: string }>({})
  const { busy, send } = useSend()
  if (!row) return <Nowhere />

  function save() {
    const hours = figures.value.readNumber(fields.hours)
    if (hours === null || hours.startsWith('-')) return setWrong({ hours: en.quote.line.missingNumber })
    void send(
      () =>
        recordMeter({
          machine_id: id,
          hours,
          read_on: today(),
          ...(fields.fresh && { new_segment: true }),
        }),
      () => {
        drop()
        goTo({ at: 'machine', id }, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={machineName(row)}
      title={its.title}
      back={{ at: 'machine', id }}
      dock={<Slab words={its.save} form="meter" busy={busy} />}
    >
      <Form id="meter" wrong={wrong} onSend={save}>
        <Field
          decimal
          label={its.hours}
          hint={last && its.last(figures.value.number(last.hours), figures.value.day(last.read_on))}
          value={fields.hours}
          wrong={wrong.hours}
          onValue={(hours) => put({ hours })}
        />
        {last && (
          <Choice
            label={its.replaced}
            value={fields.fresh ? 'fresh' : 'same'}
            options={[
              { value: 'same', words: its.same },
              { value: 'fresh', words: its.fresh },
            ]}
            onValue={(value) => put({ fresh: value === 'fresh' })}
          />
        )}
      </Form>
    </Sheet>
  )
}
