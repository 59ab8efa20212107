import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { crew, newPassword } from '../../../domain/words.crew'
import { type Scheme, scheme, type TextSize, textSize } from '../../../store/preferences'
import { status } from '../../../store/queue'
import { permissions, session, signOut } from '../../../store/session'
import { shop } from '../../../store/shop'
import { kept } from '../../../store/storage'
import { Choice } from '../../components/Choice'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row } from '../../components/Rows'
import { install, installOffer, isInstalled } from '../../install'
import { goTo } from '../../router'
import { tell } from '../../telling'
import { CalendarPart } from '../dispatch/CalendarPart'
import { Sheet } from '../Sheet'
import { Update } from './Update'

const its = en.settings
const SCHEMES = (Object.keys(its.schemes) as Scheme[]).map((value) => ({ value, words: its.schemes[value] }))
const TEXTS = (Object.keys(its.texts) as TextSize[]).map((value) => ({ value, words: its.texts[value] }))

export function Settings() {
  const { member } = session.value
  const { letter } = status.value
  return (
    <Sheet title={its.title} back={{ at: 'today' }}>
      <Update />
      <Part title={its.look}>
        <Choice
          label={its.scheme}
          value={scheme.value}
          options={SCHEMES}
          onValue={(value) => {
            scheme.value = value
          }}
        />
        <Choice
          label={its.text}
          value={textSize.value}
          options={TEXTS}
          onValue={(value) => {
            textSize.value = value
          }}
        />
      </Part>
      <Part title={its.shop}>
        <Row lead={en.hours.reports.title} also={its.hoursHint} to={{ at: 'reports' }} />
        <Row lead={en.messages.settings.title} also={en.messages.settings.hint} to={{ at: 'messages' }} />
        <Row lead={its.prices} also={its.pricesHint} to={{ at: 'prices' }} />
        {permissions.value.has('edit_shop') && (
          <Row lead={its.company} also={shop.value?.name} to={{ at: 'shop' }} />
        )}
        {permissions.value.has('manage_members') && (
          <Row lead={crew.title} also={crew.hint} to={{ at: 'members' }} />
        )}
      </Part>
      <Part title={its.install}>
        <p class="lines">{isInstalled() ? its.installed : its.installHint}</p>
        {kept.value !== null && <p class="lines">{kept.value ? its.kept : its.notKept}</p>}
        {installOffer.value && (
          <Keys tall>
            <Key wide words={its.installNow} onPress={() => void install()} />
          </Keys>
        )}
      </Part>
      <Part title={its.you}>
        {member && (
          <Facts
            facts={[
              [its.name, member.name],
              [its.role, its.roles[member.role]],
              [its.phone, letter && its.device(letter)],
            ]}
          />
        )}
        <Row lead={newPassword.title} also={newPassword.hint} to={{ at: 'password' }} />
        <SignOut />
      </Part>
      <CalendarPart />
      <p class="hint">{its.help}</p>
    </Sheet>
  )
}

/** With unsent work it says first what stays, and asks once more. */
function SignOut() {
  const [unsent, setUnsent] = useState(0)

  async function leave(anyway: boolean) {
    try {
      const answer = await signOut({ anyway })
      if (answer.done) goTo({ at: 'today' }, { instead: true })
      else setUnsent(answer.unsent)
    } catch {
      tell(en.app.notSaved)
    }
  }
  if (!unsent)
    return (
      <Keys tall>
        <Key wide words={its.signOut} hint={its.signOutHint} onPress={() => void leave(false)} />
      </Keys>
    )
  return (
    <div role="alert">
      <p class="lines">{its.signOutWaits(unsent)}</p>
      <Keys tall>
        <Key wide words={its.stay} onPress={() => setUnsent(0)} />
        <Key wide words={its.signOutAnyway} onPress={() => void leave(true)} />
      </Keys>
    </div>
  )
}
