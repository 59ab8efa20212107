import { settings as t } from '../../../domain/words/noticeSettings'
import { pushOn, turnOffPush, turnOnPush } from '../../../store/browser/webPush'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { saveWithToast, showToast } from '../../toast'

/** Push messages on this phone: switched on, with the server's key, or off. */
export function PushOnThisPhone({ push_key }: { push_key: string | null }) {
  async function turnOn(key: string) {
    const because = await turnOnPush(key)
    showToast(because === null ? t.pushSaved : because === 'denied' ? t.pushDenied : t.pushNot)
  }
  return (
    <Section title={t.pushTitle}>
      {pushOn.value !== null && <p class="multiline">{t.pushIsOn}</p>}
      <ButtonRow stacked>
        {pushOn.value !== null ? (
          <Button wide label={t.pushOff} onPress={() => void saveWithToast(turnOffPush, t.pushRemoved)} />
        ) : (
          <Button
            wide
            label={t.pushOn}
            hint={t.pushHint}
            onPress={() => void (push_key === null ? showToast(t.pushNot) : turnOn(push_key))}
          />
        )}
      </ButtonRow>
    </Section>
  )
}
