import { programs as t } from '../../../domain/words/programs'
import { makeSecret, type Webhook } from '../../../store/webhooks'
import { Section } from '../../components/Section'
import { ShownOnce } from './ShownOnce'

/** The secret of an address. */
export function Secret({ webhook, onMade }: { webhook: Webhook; onMade: () => Promise<void> }) {
  return (
    <Section title={t.secret} hint={t.secretHint}>
      <ShownOnce
        label={webhook.ready ? t.newSecret : t.makeSecret}
        hint={webhook.ready ? t.newSecretHint : undefined}
        make={() => makeSecret(webhook.id)}
        onMade={onMade}
      />
    </Section>
  )
}
