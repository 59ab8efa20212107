import { programs as t } from '../../../domain/words/programs'
import { readDeliveries, redeliver, type WebhookDelivery } from '../../../store/webhooks'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useReading } from '../../useReading'
import { Unreached } from './Unreached'

/** What was sent to an address, the newest first, each with what came of it. */
export function Deliveries({ id }: { id: string }) {
  const { value, failed, again } = useReading(() => readDeliveries(id), id)
  async function resend(delivery: WebhookDelivery) {
    const answer = await redeliver(delivery.id)
    showToast(answer.done ? t.sentAgain : answer.words || t.noSignal)
    await again()
  }
  return (
    <Section title={t.deliveries}>
      <ButtonRow stacked>
        <Button wide label={t.reload} onPress={() => void again()} />
      </ButtonRow>
      {failed ? (
        <Unreached onRetry={again} />
      ) : (
        <List items={value} empty={t.noDeliveries} keyOf={(each) => each.id} most={20}>
          {(each) => (
            <OpeningItem
              title={each.type === 'test' ? t.aTest : t.changes(each.changes.length)}
              value={t.deliveryStates[each.state] ?? each.state}
              details={outcomeOf(each)}
            >
              <p class="multiline">{kindsOf(each)}</p>
              {each.state !== 'waiting' && (
                <ButtonRow stacked>
                  <Button wide label={t.again} onPress={() => void resend(each)} />
                </ButtonRow>
              )}
            </OpeningItem>
          )}
        </List>
      )}
    </Section>
  )
}

function outcomeOf({ created_at, status, fault, tries, next_at }: WebhookDelivery): string {
  return [
    format.value.moment(created_at),
    tries > 0 && t.tries(tries),
    status && t.answered(status),
    fault && (t.faults[fault] ?? fault),
    next_at && tries > 0 && t.next(format.value.moment(next_at)),
  ]
    .filter(Boolean)
    .join(' · ')
}

const kindsOf = ({ changes }: WebhookDelivery): string =>
  [...new Set(changes.map(({ kind }) => t.kinds[kind] ?? kind.replaceAll('_', ' ')))].join(', ')
