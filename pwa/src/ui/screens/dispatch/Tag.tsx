import { useState } from 'preact/hooks'
import { tag as its } from '../../../domain/words.tag'
import { machineByTag } from '../../../store/machines'
import { hasCamera } from '../../codes'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { goTo } from '../../router'
import { Sheet } from '../Sheet'
import { Camera } from './Camera'

/** A machine by its tag: scanned where the browser can, typed otherwise. */
export function Tag() {
  const [typed, setTyped] = useState('')
  const [wrong, setWrong] = useState<{ tag?: string }>({})
  const [looking, setLooking] = useState(false)

  function open(words: string) {
    const tag = tagIn(words)
    if (!tag) return setWrong({ tag: its.empty })
    const machine = machineByTag(tag)
    if (machine) return goTo({ at: 'machine', id: machine.id }, { instead: true })
    setTyped(tag)
    setWrong({ tag: its.none(tag) })
  }
  return (
    <Sheet title={its.title} back={{ at: 'find' }} dock={<Slab words={its.open} form="tag" />}>
      {hasCamera() && (
        <Keys tall>
          <Key
            wide
            words={looking ? its.stop : its.scan}
            pressed={looking}
            onPress={() => {
              setWrong({})
              setLooking(!looking)
            }}
          />
        </Keys>
      )}
      {looking && (
        <Camera
          onRead={(words) => {
            setLooking(false)
            open(words)
          }}
          onBlind={(words) => {
            setLooking(false)
            setWrong({ tag: words })
          }}
        />
      )}
      <Form id="tag" wrong={wrong} onSend={() => open(typed)}>
        <Field
          label={its.label}
          hint={its.hint}
          value={typed}
          wrong={wrong.tag}
          capital="characters"
          enter="go"
          onValue={setTyped}
        />
      </Form>
    </Sheet>
  )
}

/** A tag may be printed as an address that ends in it. */
function tagIn(words: string): string {
  return words.trim().split('/').at(-1)?.trim() ?? ''
}
