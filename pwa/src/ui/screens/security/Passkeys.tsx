import { security as t } from '../../../domain/words/factors'
import { addPasskey, type PasskeyRow, removePasskey } from '../../../store/factors'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { createPasskey, hasPasskeys } from '../../features/passkeys/browserPasskeys'
import { dayOf, format } from '../../shopFormat'
import { CodesOnce } from './CodesOnce'
import { useChange } from './useChange'

interface Props {
  passkeys: readonly PasskeyRow[]
  onChanged: () => Promise<void>
}

/** The member's passkeys. */
export function Passkeys({ passkeys, onChanged }: Props) {
  const { codes, change, forget } = useChange(onChanged)
  return (
    <Section title={t.passkeys} hint={t.passkeysHint}>
      <List items={passkeys} empty={t.noPasskeys} keyOf={({ id }) => id}>
        {(passkey) => (
          <OpeningItem title={passkey.label || t.passkey} details={usedWhen(passkey)}>
            <ButtonRow stacked>
              <Button
                wide
                label={t.remove}
                hint={t.removePasskeyHint}
                onPress={() => void change(() => removePasskey(passkey.id), t.removed)}
              />
            </ButtonRow>
          </OpeningItem>
        )}
      </List>
      <CodesOnce codes={codes} onKept={forget} />
      {hasPasskeys() && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.addPasskey}
            onPress={() =>
              void change(
                () => addPasskey((options) => createPasskey(options, deviceName(navigator.userAgent))),
                t.passkeyAdded,
              )
            }
          />
        </ButtonRow>
      )}
    </Section>
  )
}

function usedWhen({ created_at, last_used_at }: PasskeyRow): string {
  const { day } = format.value
  const added = t.added(day(dayOf(created_at)))
  return last_used_at ? `${added}, ${t.lastUsed(day(dayOf(last_used_at)))}` : added
}

/** What a browser says it runs on, for people. */
function deviceName(agent: string): string {
  const found = /iPhone|iPad|Android|Windows|Macintosh|CrOS|Linux/u.exec(agent)?.[0]
  return found === 'Macintosh' ? 'Mac' : (found ?? '')
}
