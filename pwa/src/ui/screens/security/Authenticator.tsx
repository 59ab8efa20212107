import { security as t } from '../../../domain/words/factors'
import { removeAuthenticator } from '../../../store/factors'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { useChange } from './useChange'

/** The member's authenticator app. */
export function Authenticator({ isOn, onChanged }: { isOn: boolean; onChanged: () => Promise<void> }) {
  const { change } = useChange(onChanged)
  return (
    <Section title={t.app} hint={t.appHint}>
      <p>{isOn ? t.appOn : t.appOff}</p>
      <ButtonRow stacked>
        {isOn ? (
          <Button
            wide
            label={t.removeApp}
            hint={t.removeAppHint}
            onPress={() => void change(removeAuthenticator, t.removed)}
          />
        ) : (
          <Button wide label={t.setUpApp} to={{ at: 'authenticator' }} />
        )}
      </ButtonRow>
    </Section>
  )
}
