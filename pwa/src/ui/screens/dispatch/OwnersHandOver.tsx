import { useState } from 'preact/hooks'
import type { Finding, Stop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { handOver, handOversOf, stop } from '../../../store/dispatch'
import { shop } from '../../../store/shop'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Caution } from '../../components/Part'
import { Picks } from '../../components/Picks'
import { Key, Keys, Slab } from '../../components/Press'
import { Signed } from '../../components/Signed'
import { type Draft, useDraft } from '../../draft'
import { takeBack } from '../../handed'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { telling } from '../../telling'
import { machineName } from '../names'
import { GiveBack } from '../owner/GiveBack'
import { aboutStop } from './about'
import { type Handing, handedOver, openFindings, STEPS, UNTOUCHED } from './handing'
import { Recap } from './TurnStep'

const its = en.dispatch.hand

/** All that is on the glass while the owner of a machine holds the phone: what is theirs to read and to sign. */
export function OwnersHandOver({ id }: { id: string }) {
  const row = stop(id)
  const draft = useDraft<Handing>(`hand:${id}`, UNTOUCHED)
  const { fields, put, drop } = draft
  const done = handOversOf(id).length > 0
  const readable = row !== undefined && STEPS[row.kind][fields.step] === 'turn'

  function back(to: Place, end: () => void) {
    end()
    takeBack()
    goTo(to, { instead: true })
  }
  if (done) return <Back words={its.signedTold} again={null} onBack={() => back({ at: 'stop', id }, drop)} />
  // What was gone through is not on this phone any more: the member begins anew.
  if (!readable || fields.owner === 'unsigned')
    return (
      <Back
        words={its.unsignedTold}
        again={readable ? { words: its.backToIt, press: () => put({ owner: 'open' }) } : null}
        onBack={() => back({ at: 'stop-hand', id }, () => put({ owner: 'open' }))}
      />
    )
  const findings = openFindings(row)
  if (fields.owner === 'open' && findings.length > 0)
    return <Open row={row} draft={draft} findings={findings} />
  return <Sign row={row} draft={draft} />
}

type BackProps = Pick<Parameters<typeof GiveBack>[0], 'words' | 'again' | 'onBack'>

const shopName = () => shop.value?.name ?? ''

const Back = (props: BackProps) => <GiveBack shop={shopName()} opens={its.takeBackYes} {...props} />

interface OwnersProps {
  row: Stop
  draft: Draft<Handing>
}

/** Each finding that can hurt someone is read, and the owner says that they did. */
function Open({ row, draft: { fields, put }, findings }: OwnersProps & { findings: readonly Finding[] }) {
  const [wrong, setWrong] = useState<Record<string, string | undefined>>({})

  function next() {
    const unread = findings.find(({ id }) => !fields.heard.includes(id))
    setWrong(unread ? { [unread.id]: its.missingHeard } : {})
    if (unread) return
    put({ owner: 'sign' })
    scrollTo(0, 0)
  }
  return (
    <Page
      kind="owner"
      over={en.app.joined([shopName(), machineName(aboutStop(row).machine)])}
      title={its.open}
      under={its.openHint}
      queue={null}
      told={telling.value}
      dock={<Slab words={its.next} form="open" />}
    >
      <Caution words={its.openCaution} />
      <Form id="open" wrong={wrong} onSend={next}>
        {findings.map(({ id, words, consequence }) => (
          <Picks
            key={id}
            label={[words, consequence].filter(Boolean).join(' — ')}
            wrong={wrong[id]}
            values={fields.heard.filter((each) => each === id)}
            options={[{ value: id, words: its.heard }]}
            onValues={(heard) => put({ heard: [...fields.heard.filter((each) => each !== id), ...heard] })}
          />
        ))}
      </Form>
      <Leave put={put} />
    </Page>
  )
}

/** Name and ink under what both saw. */
function Sign({ row, draft: { fields, put } }: OwnersProps) {
  const [wrong, setWrong] = useState<{ name?: string; ink?: string }>({})
  const { busy, send } = useSend()

  function sign() {
    const found = {
      ...(!fields.name.trim() && { name: its.missingName }),
      ...(fields.strokes.length === 0 && { ink: its.missingInk }),
    }
    setWrong(found)
    if (Object.keys(found).length > 0) return
    void send(
      () => handOver(handedOver(row, { ...fields, nobody: false })),
      () => scrollTo(0, 0),
      its.saved,
    )
  }
  return (
    <Page
      kind="owner"
      over={en.app.joined([shopName(), machineName(aboutStop(row).machine)])}
      title={its.sign}
      under={<b>{its.signHint[row.kind]}</b>}
      queue={null}
      told={telling.value}
      dock={<Slab words={its.signIt} form="sign" busy={busy} />}
    >
      <Recap row={row} fields={fields} />
      <Form id="sign" wrong={wrong} onSend={sign}>
        <Field
          label={its.name}
          value={fields.name}
          wrong={wrong.name}
          capital="words"
          enter="done"
          onValue={(name) => put({ name })}
        />
        <Signed
          label={its.inkLabel}
          hint={its.ink}
          clear={its.clear}
          wrong={wrong.ink}
          kept={fields.strokes}
          onDrawn={(strokes, box) => put({ strokes, box })}
          onWiped={() => put({ strokes: [] })}
        />
      </Form>
      <Leave put={put} />
    </Page>
  )
}

/** Nobody has to sign. */
function Leave({ put }: Pick<Draft<Handing>, 'put'>) {
  return (
    <Keys tall>
      <Key wide words={its.leave} onPress={() => put({ owner: 'unsigned', strokes: [] })} />
    </Keys>
  )
}
