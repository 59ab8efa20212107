import { useState } from 'preact/hooks'
import { telLink } from '../../../domain/places'
import { en } from '../../../domain/words'
import { reportBreakdown, run } from '../../../store/dispatch'
import { shop } from '../../../store/shop'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Caution } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { rigName } from './about'

const its = en.dispatch.trouble

/** A rig that cannot go on: one tap, a word about it if there is time. */
export function Trouble({ id }: { id: string }) {
  const row = run(id)
  const [note, setNote] = useState('')
  if (!row) return <Nowhere />
  const { rig_id } = row

  async function report() {
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await reportBreakdown(rig_id, note.trim())
    })
    if (!saved) return
    tell(its.saved, undo, its.mend)
    goTo({ at: 'run', id }, { instead: true })
  }
  return (
    <Sheet
      over={rigName(rig_id)}
      title={its.title}
      under={its.hint}
      back={{ at: 'run', id }}
      dock={<Slab words={its.save} form="trouble" />}
    >
      <Caution words={its.caution} />
      <Form id="trouble" wrong={{}} onSend={() => void report()}>
        <Field area label={its.note} value={note} onValue={setNote} />
        {shop.value?.phone && (
          <Keys tall>
            <Key wide words={its.call} href={telLink(shop.value.phone)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}
