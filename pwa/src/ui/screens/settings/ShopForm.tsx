import { useState } from 'preact/hooks'
import type { Shop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session'
import { editShop, shop } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.shopForm

export function ShopForm() {
  const row = shop.value
  return row && permissions.value.has('edit_shop') ? (
    <Change row={row} />
  ) : (
    <Nowhere back={{ at: 'settings' }} />
  )
}

/** What the paper says of the shop, and how it writes. */
function Change({ row }: { row: Shop }) {
  const [seen] = useState(row)
  const { name, address, phone, email, paper, units, locale } = row
  const { fields, put, drop } = useDraft(`shop:${row.id}`, {
    name,
    address,
    phone,
    email,
    paper,
    units,
    locale,
  })
  const [wrong, setWrong] = useState<{ name?: string; locale?: string }>({})
  const { busy, send } = useSend()

  function save() {
    const found = {
      ...(!fields.name.trim() && { name: its.missingName }),
      ...(!isLocale(fields.locale) && { locale: its.missingLocale }),
    }
    setWrong(found)
    if (Object.keys(found).length) return
    void send(
      () => editShop(seen, fields),
      () => {
        drop()
        goTo({ at: 'settings' }, { instead: true })
      },
    )
  }
  return (
    <Sheet
      title={en.settings.company}
      back={{ at: 'settings' }}
      dock={<Slab words={its.save} form="shop" busy={busy} />}
    >
      <Form id="shop" wrong={wrong} onSend={save}>
        <Field label={its.name} value={fields.name} wrong={wrong.name} onValue={(name) => put({ name })} />
        <Field area label={its.address} value={fields.address} onValue={(address) => put({ address })} />
        <Field type="tel" label={its.phone} value={fields.phone} onValue={(phone) => put({ phone })} />
        <Field
          type="email"
          label={its.email}
          capital="off"
          value={fields.email}
          onValue={(email) => put({ email })}
        />
        <Choice
          across
          label={its.paper}
          value={fields.paper}
          options={[
            { value: 'letter', words: its.letter },
            { value: 'a4', words: its.a4 },
          ]}
          onValue={(paper) => put({ paper })}
        />
        <Choice
          across
          label={its.units}
          value={fields.units}
          options={[
            { value: 'us', words: its.us },
            { value: 'metric', words: its.metric },
          ]}
          onValue={(units) => put({ units })}
        />
        <Field
          label={its.locale}
          hint={its.localeHint}
          capital="off"
          value={fields.locale}
          wrong={wrong.locale}
          onValue={(locale) => put({ locale })}
        />
      </Form>
    </Sheet>
  )
}

function isLocale(text: string): boolean {
  try {
    return Intl.getCanonicalLocales(text).length === 1
  } catch {
    return false
  }
}
