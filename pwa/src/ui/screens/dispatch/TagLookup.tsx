import { useState } from 'preact/hooks'
import { tag as t } from '../../../domain/words/tag'
import { machineByTag } from '../../../store/machines'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { QrCamera } from '../../features/codes/QrCamera'
import { hasCamera } from '../../qrReader'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'

/** Finds a machine by its tag: scanned, or typed where there is no camera. */
export function TagLookup() {
  const [typed, setTyped] = useState('')
  const [errors, setErrors] = useState<{ tag?: string }>({})
  const [looking, setLooking] = useState(false)

  function open(words: string) {
    const tag = tagIn(words)
    if (!tag) return setErrors({ tag: t.empty })
    const machine = machineByTag(tag)
    if (machine) return navigate({ at: 'machine', id: machine.id }, { replace: true })
    setTyped(tag)
    setErrors({ tag: t.none(tag) })
  }
  return (
    <ShopPage title={t.title} dock={<PrimaryButton label={t.open} form="tag" />}>
      {hasCamera() && (
        <ButtonRow stacked>
          <Button
            wide
            label={looking ? t.stop : t.scan}
            pressed={looking}
            onPress={() => {
              setErrors({})
              setLooking(!looking)
            }}
          />
        </ButtonRow>
      )}
      {looking && (
        <QrCamera
          onRead={(words) => {
            setLooking(false)
            open(words)
          }}
          onBlind={(words) => {
            setLooking(false)
            setErrors({ tag: words })
          }}
        />
      )}
      <Form id="tag" errors={errors} onSubmit={() => open(typed)}>
        <TextField
          label={t.label}
          hint={t.hint}
          value={typed}
          error={errors.tag}
          autocapitalize="characters"
          enterKey="go"
          onValueChange={setTyped}
        />
      </Form>
    </ShopPage>
  )
}

/** A tag may be printed as an address that ends with it. */
function tagIn(words: string): string {
  return words.trim().split('/').at(-1)?.trim() ?? ''
}
