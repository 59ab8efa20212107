import { useState } from 'preact/hooks'
import type { PriceBook } from '../../../domain/book'
import { checkBook } from '../../../domain/checks'
import type { Shop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session'
import { editShop, shop } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Caution, Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, today } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { type PriceField, partsOf, readAt, typedAt, valueAt, withAt } from './priceFields'
import { grown } from './pricesGrow'

const its = en.prices

/** What the shop charges: for its owner to change, for the others to read. */
export function Prices() {
  const row = shop.value
  if (!row) return <Nowhere back={{ at: 'settings' }} />
  return permissions.value.has('edit_shop') ? <Change row={row} /> : <Read row={row} />
}

function Read({ row }: { row: Shop }) {
  const read = figures.value
  return (
    <Sheet over={row.name} title={its.title} back={{ at: 'settings' }}>
      <p class="lines">{its.onlyOwner}</p>
      {partsOf(row.book, read).map(({ title, fields }, at) => (
        <Part key={at} title={title}>
          <Facts facts={fields.map((field) => [field.label, typedAt(row.book, field, read)] as const)} />
        </Part>
      ))}
    </Sheet>
  )
}

interface Typed {
  book: PriceBook
  typed: Record<string, string>
}

function Change({ row }: { row: Shop }) {
  const [seen] = useState(row)
  const read = figures.value
  const { fields, put, drop } = useDraft<Typed>(`prices:${row.id}`, { book: row.book, typed: {} })
  const { book, typed } = fields
  const [wrong, setWrong] = useState<Record<string, string>>({})
  const { busy, send } = useSend()
  const parts = partsOf(book, read)

  function save() {
    const all = parts.flatMap((part) => part.fields)
    const { whole, faults } = readAll(book, typed, all)
    const found = Object.keys(faults).length ? faults : byPath(checkBook(whole))
    setWrong(found)
    if (Object.keys(found).length) return
    void send(
      () => editShop(seen, { book: whole }),
      () => {
        drop()
        goTo({ at: 'settings' }, { instead: true })
      },
      its.saved,
    )
  }
  return (
    <Sheet
      over={row.name}
      title={its.title}
      back={{ at: 'settings' }}
      dock={<Slab words={its.save} form="prices" busy={busy} />}
    >
      <Form id="prices" wrong={wrong} onSend={save}>
        <p class="lines">{its.onlyOwner}</p>
        <Caution words={its.checkLocal} />
        {Object.entries(wrong)
          .filter(([path]) => !parts.some((part) => part.fields.some((field) => field.path === path)))
          .map(([path, words]) => (
            <p class="wrong" role="alert" key={path}>
              {words}
            </p>
          ))}
        {parts.map((part, at) => (
          <Part key={at} title={part.title}>
            {part.fields.map((field) => (
              <Field
                key={field.path}
                label={field.label}
                area={field.as === 'long'}
                decimal={!['words', 'long', 'day', 'maybe-day'].includes(field.as)}
                type={field.as.endsWith('day') ? 'date' : 'text'}
                value={typed[field.path] ?? typedAt(book, field, read)}
                wrong={wrong[field.path]}
                onValue={(text) => put({ typed: { ...typed, [field.path]: text } })}
              />
            ))}
            {part.choices?.map(({ path, label, options }) => (
              <Choice
                key={path}
                label={label}
                value={String(valueAt(book, path))}
                options={options}
                onValue={(value) => put({ book: withAt(book, path, chosen(value)) })}
              />
            ))}
            {part.adds && (
              <Keys tall>
                <Key
                  wide
                  words={its.adds[part.adds]}
                  onPress={() => put({ book: grown(book, part.adds ?? 'rate', today()) })}
                />
              </Keys>
            )}
          </Part>
        ))}
      </Form>
    </Sheet>
  )
}

function chosen(value: string): string | boolean {
  return value === 'true' || (value === 'false' ? false : value)
}

function readAll(book: PriceBook, typed: Record<string, string>, fields: readonly PriceField[]) {
  const faults: Record<string, string> = {}
  let whole = book
  for (const { path, as } of fields) {
    const text = typed[path]
    if (text === undefined) continue
    const value = readAt(text, as, figures.value)
    if (value === undefined)
      faults[path] = as.endsWith('money') ? en.quote.line.missingMoney : en.quote.line.missingNumber
    else whole = withAt(whole, path, value)
  }
  return { whole, faults }
}

function byPath(faults: readonly { field: string; words: string }[]): Record<string, string> {
  return Object.fromEntries(faults.map(({ field, words }) => [field, words]))
}
