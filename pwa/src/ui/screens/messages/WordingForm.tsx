import { useRef, useState } from 'preact/hooks'
import {
  checkWording,
  examplesOf,
  fill,
  type Sort,
  type Wording,
  type WordingChannel,
  type WordingFault,
} from '../../../domain/template'
import { en } from '../../../domain/words'
import { sorts } from '../../../domain/words.notices'
import { dropWording, ownWording, putWording } from '../../../store/notices'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.messages.words
const LIST = { at: 'wordings' } as const

export function WordingForm({ id, channel }: { id: string; channel: WordingChannel }) {
  const sort = Object.hasOwn(sorts, id) ? sorts[id] : undefined
  const first = sort?.words[channel]
  if (!sort || !first || !permissions.value.has('edit_shop')) return <Nowhere back={LIST} />
  return <Change key_={id} channel={channel} sort={sort} first={first} />
}

interface Props {
  key_: string
  channel: WordingChannel
  sort: Sort
  /** The words that come with Drawbar. */
  first: Wording
}

/** The words of one message over one way, as they will read, and the way back to those it came with. */
function Change({ key_, channel, sort, first }: Props) {
  const own = ownWording(key_, channel)
  const { subject, body } = own ?? first
  const { fields, put, drop } = useDraft<Wording>(`wording:${key_}:${channel}`, { subject, body })
  const [wrong, setWrong] = useState<Partial<Record<keyof Wording, string>>>({})
  const { busy, send } = useSend()
  // Where the last writing was: what is tapped goes in there.
  const caret = useRef<{ part: keyof Wording; at: number } | null>(null)
  const titled = channel !== 'sms'
  const examples = examplesOf(sort, shop.value?.name ?? '')

  function putIn(field: string) {
    const { part, at } = caret.current ?? { part: 'body', at: fields.body.length }
    const text = fields[part]
    const token = `{${field}}`
    put({ [part]: text.slice(0, at) + token + text.slice(at) })
    caret.current = { part, at: Math.min(at, text.length) + token.length }
  }
  const leave = () => {
    drop()
    goTo(LIST, { instead: true })
  }
  function save() {
    const found = checkWording(sort, channel, fields)
    setWrong({
      ...(found.subject && { subject: faultWords(found.subject, 'subject', channel) }),
      ...(found.body && { body: faultWords(found.body, 'body', channel) }),
    })
    if (!Object.keys(found).length) void send(() => putWording(key_, channel, fields), leave, its.saved)
  }
  async function goBack() {
    if (!own) return
    let undo: () => Promise<unknown> = async () => undefined
    const saved = await saving(async () => {
      undo = await dropWording(own)
    })
    if (!saved) return
    leave()
    tell(its.wentBack, undo)
  }
  return (
    <Sheet
      over={en.messages.log.channels[channel]}
      title={its.sorts[key_] ?? key_}
      back={LIST}
      dock={<Slab words={its.save} form="wording" busy={busy} />}
    >
      <Form id="wording" wrong={wrong} onSend={save}>
        <div
          onFocusOut={({ target }) => {
            if (target instanceof HTMLTextAreaElement || target instanceof HTMLInputElement)
              caret.current = {
                part: target instanceof HTMLInputElement ? 'subject' : 'body',
                at: target.selectionStart ?? target.value.length,
              }
          }}
        >
          {titled && (
            <Field
              label={channel === 'push' ? its.pushTitle : its.subject}
              value={fields.subject}
              wrong={wrong.subject}
              onValue={(value) => put({ subject: value })}
            />
          )}
          <Field
            area
            label={its.body}
            value={fields.body}
            wrong={wrong.body}
            onValue={(value) => put({ body: value })}
          />
        </div>
        <Part title={its.mayName} hint={its.mayNameHint}>
          <Keys>
            {Object.keys(sort.examples).map((field) => (
              <Key key={field} words={its.fields[field] ?? field} onPress={() => putIn(field)} />
            ))}
          </Keys>
        </Part>
      </Form>
      <Part title={its.preview} hint={its.previewHint}>
        {titled && <p class="lines">{fill(fields.subject, examples)}</p>}
        <p class="lines">{fill(fields.body, examples)}</p>
      </Part>
      {own && (
        <Keys tall>
          <Key wide words={its.back} onPress={() => void goBack()} />
        </Keys>
      )}
    </Sheet>
  )
}

function faultWords(fault: WordingFault, part: keyof Wording, channel: WordingChannel): string {
  switch (fault.what) {
    case 'unknown':
      return its.unknown(fault.field)
    case 'brace':
      return its.brace
    case 'one_line':
      return its.oneLine
    case 'missing':
      return part === 'subject' ? its.missingSubject : its.missingBody
    case 'too_long':
      return part === 'subject' ? its.longSubject : channel === 'sms' ? its.longSms : its.longBody
  }
}
