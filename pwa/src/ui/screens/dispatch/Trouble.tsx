import { useState } from 'preact/hooks'
import { telLink } from '../../../domain/places'
import type { Rig, Run } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { trouble as its } from '../../../domain/words.trouble'
import { mendRig, rig, run } from '../../../store/dispatch'
import { shop } from '../../../store/shop'
import { describeBreakdown } from '../../../store/trouble'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Caution } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { saving } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { PositionField, readPair } from './PositionField'

/** A rig that has broken down: noted already by one tap; here is what to mind, and what may be added. */
export function Trouble({ id }: { id: string }) {
  const row = run(id)
  const truck = row && rig(row.rig_id)
  return row && truck?.out_at ? <Down row={row} truck={truck} since={truck.out_at} /> : <Nowhere />
}

function Down({ row, truck, since }: { row: Run; truck: Rig; since: string }) {
  const { fields, put, drop } = useDraft(`trouble:${truck.id}:${since}`, {
    note: truck.out_note,
    place: '',
    position: '',
  })
  const [wrong, setWrong] = useState<{ position?: string }>({})
  const { busy, send } = useSend()
  const back: Place = { at: 'run', id: row.id }

  function save() {
    const pair = readPair(fields.position)
    setWrong(pair ? {} : { position: en.dispatch.place.wrong })
    if (!pair) return
    void send(
      () => describeBreakdown(truck, fields.note.trim(), { ...pair, place: fields.place.trim() }),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={truck.name}
      title={its.title}
      under={its.since(figures.value.moment(since))}
      back={back}
      dock={<Slab words={its.add} form="trouble" busy={busy} />}
    >
      <Caution words={its.caution} />
      <p class="lines">{its.hint}</p>
      <Keys tall>
        {shop.value?.phone && <Key wide words={its.call} href={telLink(shop.value.phone)} />}
        <Key
          wide
          words={its.mend}
          onPress={() =>
            void saving(() => mendRig(truck.id), its.mended).then((saved) => saved && goTo(back))
          }
        />
      </Keys>
      <Form id="trouble" wrong={wrong} onSend={save}>
        <Field area label={its.note} value={fields.note} onValue={(note) => put({ note })} />
        <Field
          label={its.place}
          hint={its.placeHint}
          value={fields.place}
          onValue={(place) => put({ place })}
        />
        <PositionField
          label={its.position}
          value={fields.position}
          wrong={wrong.position}
          onValue={(position) => put({ position })}
        />
      </Form>
    </Sheet>
  )
}
