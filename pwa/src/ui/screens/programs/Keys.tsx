import { apiKeys as t } from '../../../domain/words/apiKeys'
import { type ApiKey, readApiKeys } from '../../../store/apiKeys'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { useReading } from '../../useReading'
import { Unreached } from './Unreached'

/** The keys of other programs; those that have ended come last. */
export function Keys() {
  const { value, failed, again } = useReading(readApiKeys)
  const sorted = value && [...value].sort((one, other) => Number(isOver(one)) - Number(isOver(other)))
  return (
    <Section title={t.title} hint={t.hint}>
      {failed ? (
        <Unreached onRetry={again} />
      ) : (
        <List items={sorted} empty={t.none} keyOf={({ id }) => id}>
          {(key) => (
            <ListItem title={key.label} details={stateOfKey(key)} to={{ at: 'api-key', id: key.id }} />
          )}
        </List>
      )}
      <ButtonRow stacked>
        <Button wide label={t.add} to={{ at: 'new-api-key' }} />
      </ButtonRow>
    </Section>
  )
}

const isOver = ({ revoked_at, expires_at }: ApiKey): boolean =>
  revoked_at !== null || (expires_at !== null && Date.parse(expires_at) <= Date.now())

export function stateOfKey(key: ApiKey): string {
  if (key.revoked_at) return t.revoked
  if (isOver(key)) return t.ended
  if (!key.ready) return t.unshown
  return key.last_used_on ? `${t.lastUsed} ${format.value.day(key.last_used_on)}` : t.works
}
