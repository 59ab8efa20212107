import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { security as securityMenu } from '../../../domain/words/factors'
import { keys } from '../../../domain/words/keys'
import { type Scheme, scheme, singleKeys, type TextSize, textSize } from '../../../store/browser/preferences'
import { isPersistent } from '../../../store/database/storageStatus'
import { syncSummary } from '../../../store/queue/queue'
import { session, signOut } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { DescriptionList, Section } from '../../components/Section'
import { CalendarSection } from '../../features/dispatch/CalendarSection'
import { UpdateNotice } from '../../features/update/UpdateNotice'
import { install, installOffer, isInstalled } from '../../install'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { isWide } from '../../wide'

const t = en.settings
const SCHEMES = (Object.keys(t.schemes) as Scheme[]).map((value) => ({ value, label: t.schemes[value] }))
const KEYS = [
  { value: 'on', label: keys.settings.on, hint: keys.settingHint },
  { value: 'off', label: keys.settings.off },
] as const
const TEXTS = (Object.keys(t.texts) as TextSize[]).map((value) => ({ value, label: t.texts[value] }))

export function Settings() {
  const { member } = session.value
  const { letter } = syncSummary.value
  return (
    <ShopPage title={t.title}>
      <UpdateNotice />
      <Display />
      <Section title={t.install}>
        <p class="multiline">{isInstalled() ? t.installed : t.installHint}</p>
        {isPersistent.value !== null && <p class="multiline">{isPersistent.value ? t.kept : t.notKept}</p>}
        {installOffer.value && (
          <ButtonRow stacked>
            <Button wide label={t.installNow} onPress={() => void install()} />
          </ButtonRow>
        )}
      </Section>
      <Section title={t.you}>
        {member && (
          <DescriptionList
            items={[
              [t.name, member.name],
              [t.role, t.roles[member.role]],
              [t.phone, letter && t.device(letter)],
            ]}
          />
        )}
        <ListItem title={securityMenu.title} details={securityMenu.hint} to={{ at: 'security' }} />
        <SignOut />
      </Section>
      <CalendarSection />
      <p class="hint">{t.help}</p>
    </ShopPage>
  )
}

/** Colors, text size, and at the desk whether letters are shortcuts. */
function Display() {
  return (
    <Section title={t.look}>
      <RadioGroup
        label={t.scheme}
        value={scheme.value}
        options={SCHEMES}
        onValueChange={(value) => {
          scheme.value = value
        }}
      />
      <RadioGroup
        label={t.text}
        value={textSize.value}
        options={TEXTS}
        onValueChange={(value) => {
          textSize.value = value
        }}
      />
      {isWide.value && (
        <RadioGroup
          label={keys.setting}
          value={singleKeys.value}
          options={KEYS}
          onValueChange={(value) => {
            singleKeys.value = value
          }}
        />
      )}
    </Section>
  )
}

/** Where work is unsent or unfinished, says what stays and asks for confirmation. */
function SignOut() {
  const [left, setLeft] = useState<{ unsent: number; unfinished: number } | null>(null)

  async function leave(anyway: boolean) {
    try {
      const answer = await signOut({ anyway })
      if (answer.done) navigate({ at: 'today' }, { replace: true })
      else setLeft(answer)
    } catch {
      showToast(en.app.notSaved)
    }
  }
  if (!left)
    return (
      <ButtonRow stacked>
        <Button wide label={t.signOut} hint={t.signOutHint} onPress={() => void leave(false)} />
      </ButtonRow>
    )
  return (
    <div role="alert">
      {left.unsent > 0 && <p class="multiline">{t.signOutWaits(left.unsent)}</p>}
      {left.unfinished > 0 && <p class="multiline">{en.drafts.signOut(left.unfinished)}</p>}
      <ButtonRow stacked>
        <Button wide label={t.stay} onPress={() => setLeft(null)} />
        <Button wide label={t.signOutAnyway} onPress={() => void leave(true)} />
      </ButtonRow>
    </div>
  )
}
