import { programs as t } from '../../../domain/words/programs'
import { session } from '../../../store/session/session'
import { readWebhooks, type Webhook } from '../../../store/webhooks'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { useReading } from '../../useReading'
import { Keys } from './Keys'
import { Unreached } from './Unreached'

/** The addresses of other programs that are told of changes. */
export function Programs() {
  const { value, failed, again } = useReading(readWebhooks)
  return (
    <ShopPage title={t.title} dock={<PrimaryButton label={t.add} to={{ at: 'new-webhook' }} />}>
      <p class="multiline">{t.intro}</p>
      {failed ? (
        <Unreached onRetry={again} />
      ) : (
        <List items={value} empty={t.none} keyOf={({ id }) => id}>
          {(webhook) => (
            <ListItem
              title={webhook.label || webhook.url}
              details={stateOf(webhook)}
              to={{ at: 'webhook', id: webhook.id }}
            />
          )}
        </List>
      )}
      {session.value.permissions.includes('manage_members') && <Keys />}
    </ShopPage>
  )
}

export const stateOf = ({ state, ready }: Webhook): string =>
  ready ? (t.states[state] ?? state) : t.noSecret
