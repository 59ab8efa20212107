import { useRef } from 'preact/hooks'
import type { Language } from '../../../domain/contract'
import {
  checkWording,
  examplesOf,
  fill,
  firstWords,
  type MessageType,
  type Wording,
  type WordingChannel,
} from '../../../domain/notices/templates'
import { en } from '../../../domain/words'
import { words as t } from '../../../domain/words/noticeSettings'
import { messageTypes } from '../../../domain/words/noticeTypes'
import { dropWording, ownWording, putWording, type WordingKey } from '../../../store/notices'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { type FormState, useForm } from '../../useForm'
import { faultWords } from './wordingFaults'

export function WordingForm({
  id,
  channel,
  language = 'en',
}: {
  id: string
  channel: WordingChannel
  language?: Language
}) {
  const type = Object.hasOwn(messageTypes, id) ? messageTypes[id] : undefined
  const first = type && firstWords(type, language)[channel]
  if (!type || !first) return <NotFound />
  return <EditWording of={{ key: id, channel, language }} type={type} first={first} />
}

interface Props {
  of: WordingKey
  type: MessageType
  /** The built-in text. */
  first: Wording
}

/** The text of one message on one channel, with a preview and a button to restore the built-in text. */
function EditWording({ of, type, first }: Props) {
  const { key, channel, language } = of
  const own = ownWording(of)
  const { subject, body } = own ?? first
  const form = useForm<Wording>({
    name: `wording:${key}:${channel}${language === 'en' ? '' : `:${language}`}`,
    blank: { subject, body },
    check: (fields) => {
      const found = checkWording(type, channel, fields)
      return {
        subject: found.subject && faultWords(found.subject, 'subject', channel),
        body: found.body && faultWords(found.body, 'body', channel),
      }
    },
    save: (fields) => putWording(of, fields),
    saved: t.saved,
  })
  const { fields } = form
  const titled = channel !== 'sms'
  const named = t.types[key] ?? key
  const examples = examplesOf(type, shop.value?.name ?? '')
  return (
    <FormPage
      form={form}
      overline={en.messages.log.channels[channel]}
      title={language === 'es' ? t.inSpanish(named) : named}
      saveLabel={t.save}
      after={
        <>
          <Section title={t.preview} hint={t.previewHint}>
            {titled && <p class="multiline">{fill(fields.subject, examples)}</p>}
            <p class="multiline">{fill(fields.body, examples)}</p>
          </Section>
          {own && (
            <ButtonRow stacked>
              <Button
                wide
                label={t.back}
                onPress={() => void form.remove({ action: () => dropWording(own), text: t.wentBack })}
              />
            </ButtonRow>
          )}
        </>
      }
    >
      <WordingFields form={form} channel={channel} names={Object.keys(type.examples)} />
    </FormPage>
  )
}

interface TextsProps {
  form: FormState<Wording>
  channel: WordingChannel
  /** The placeholders that the text may contain. */
  names: readonly string[]
}

/** Subject and body, with buttons that insert a placeholder at the cursor. */
function WordingFields({ form: { fields, update, field }, channel, names }: TextsProps) {
  const caret = useRef<{ part: keyof Wording; at: number } | null>(null)

  function putIn(name: string) {
    const { part, at } = caret.current ?? { part: 'body', at: fields.body.length }
    const text = fields[part]
    const token = `{${name}}`
    update({ [part]: text.slice(0, at) + token + text.slice(at) })
    caret.current = { part, at: Math.min(at, text.length) + token.length }
  }
  return (
    <>
      <div
        onFocusOut={({ target }) => {
          if (target instanceof HTMLTextAreaElement || target instanceof HTMLInputElement)
            caret.current = {
              part: target instanceof HTMLInputElement ? 'subject' : 'body',
              at: target.selectionStart ?? target.value.length,
            }
        }}
      >
        {channel !== 'sms' && (
          <TextField label={channel === 'push' ? t.pushTitle : t.subject} {...field('subject')} />
        )}
        <TextField multiline label={t.body} {...field('body')} />
      </div>
      <Section title={t.mayName} hint={t.mayNameHint}>
        <ButtonRow>
          {names.map((name) => (
            <Button key={name} label={t.fields[name] ?? name} onPress={() => putIn(name)} />
          ))}
        </ButtonRow>
      </Section>
    </>
  )
}
