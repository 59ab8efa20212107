import { en } from '../../../domain/words'
import { programs as t } from '../../../domain/words/programs'
import { actOnWebhook, readWebhooks, type Webhook } from '../../../store/webhooks'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useReading } from '../../useReading'
import { Deliveries } from './Deliveries'
import { stateOf } from './Programs'
import { Secret } from './Secret'
import { Unreached } from './Unreached'

/** One address: its state, its secret, what was sent, and what can be done with it. */
export function WebhookView({ id }: { id: string }) {
  const { value, failed, again } = useReading(readWebhooks, id)
  const webhook = value?.find((each) => each.id === id)
  if (value && !webhook) return <NotFound />
  return (
    <ShopPage
      overline={t.title}
      title={webhook ? webhook.label || new URL(webhook.url).host : en.app.loading}
    >
      {failed && <Unreached onRetry={again} />}
      {webhook && (
        <>
          <Facts webhook={webhook} />
          <Secret webhook={webhook} onMade={again} />
          <Acts webhook={webhook} again={again} />
          <Deliveries id={id} />
        </>
      )}
    </ShopPage>
  )
}

function Facts({ webhook }: { webhook: Webhook }) {
  const { url, kinds, failing_since, delivered_at } = webhook
  const known = kinds.filter((kind) => kind in t.kinds).map((kind) => t.kinds[kind] ?? kind)
  const others = kinds.length - known.length
  return (
    <DescriptionList
      items={[
        [t.url, url],
        [t.state, stateOf(webhook)],
        [t.about, kinds.length ? [...known, ...(others ? [t.otherKinds(others)] : [])].join(', ') : t.all],
        [t.lastArrived, delivered_at ? format.value.moment(delivered_at) : t.never],
        [t.trouble, failing_since && t.failingSince(format.value.moment(failing_since))],
      ]}
    />
  )
}

type Act = 'on' | 'off' | 'test' | 'remove'
const SAID: Record<Act, string> = { on: t.turnedOn, off: t.turnedOff, test: t.tested, remove: t.removed }

function Acts({ webhook, again }: { webhook: Webhook; again: () => Promise<void> }) {
  const { id, state, ready } = webhook
  async function act(what: Act) {
    const answer = await actOnWebhook(id, what)
    showToast(answer.done ? SAID[what] : answer.words || t.noSignal)
    if (answer.done && what === 'remove') navigate({ at: 'programs' }, { replace: true })
    else await again()
  }
  return (
    <ButtonRow stacked>
      {ready && state === 'on' && <Button wide label={t.test} onPress={() => void act('test')} />}
      <Button wide label={t.edit} to={{ at: 'webhook-edit', id }} />
      {state === 'on' ? (
        <Button wide label={t.turnOff} onPress={() => void act('off')} />
      ) : (
        <Button wide label={t.turnOn} hint={t.turnOnHint} onPress={() => void act('on')} />
      )}
      <Button wide label={t.remove} hint={t.removeHint} onPress={() => void act('remove')} />
    </ButtonRow>
  )
}
