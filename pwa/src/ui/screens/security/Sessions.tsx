import { security as t } from '../../../domain/words/factors'
import { endOtherSessions, endSession, readSessions, type SessionRow } from '../../../store/factors'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { useReading } from '../../useReading'
import { useChange } from './useChange'

/** The browsers on which the member is signed in. */
export function Sessions() {
  const { value, again } = useReading(readSessions)
  const { change } = useChange(again)
  return (
    <Section title={t.sessions}>
      <List items={value} empty={t.unreached} keyOf={({ id }) => id}>
        {(session) => (
          <OpeningItem title={titleOf(session)} details={seenWhen(session)}>
            <p class="hint">{begunWhen(session)}</p>
            {!session.current && (
              <ButtonRow stacked>
                <Button
                  wide
                  label={t.endSession}
                  hint={t.endSessionHint}
                  onPress={() => void change(() => endSession(session.id), t.ended)}
                />
              </ButtonRow>
            )}
          </OpeningItem>
        )}
      </List>
      {value && value.length > 1 && (
        <ButtonRow stacked>
          <Button wide label={t.endOthers} onPress={() => void change(endOtherSessions, t.ended)} />
        </ButtonRow>
      )}
    </Section>
  )
}

const titleOf = ({ label, current }: SessionRow): string =>
  current ? `${label || t.unknownBrowser} (${t.thisOne})` : label || t.unknownBrowser

const seenWhen = ({ seen_at, network }: SessionRow): string => t.seen(format.value.moment(seen_at), network)

function begunWhen({ begun_at, devices }: SessionRow): string {
  const begun = t.begun(format.value.moment(begun_at))
  return devices.length ? `${begun}. ${t.devices(devices.join(', '))}` : begun
}
