import { en } from '../../../domain/words'
import { apiKeys as t } from '../../../domain/words/apiKeys'
import { programs } from '../../../domain/words/programs'
import { makeApiKeyValue, readApiKeys, revokeApiKey } from '../../../store/apiKeys'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { dayOf, format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useReading } from '../../useReading'
import { stateOfKey } from './Keys'
import { ShownOnce } from './ShownOnce'
import { Unreached } from './Unreached'

/** One key: what it can do, its value once, and its end. */
export function KeyView({ id }: { id: string }) {
  const { value, failed, again } = useReading(readApiKeys, id)
  const key = value?.find((each) => each.id === id)
  if (value && !key) return <NotFound />
  async function revoke() {
    const answer = await revokeApiKey(id)
    showToast(answer.done ? t.revokedNow : answer.words || programs.noSignal)
    await again()
  }
  return (
    <ShopPage overline={t.title} title={key?.label ?? en.app.loading}>
      {failed && <Unreached onRetry={again} />}
      {key && (
        <>
          <DescriptionList
            items={[
              [t.state, stateOfKey(key)],
              [t.may, key.permissions?.map((each) => t.permissions[each] ?? each).join(', ') ?? t.everything],
              [t.until, key.expires_at && format.value.day(dayOf(key.expires_at))],
              [t.lastUsed, key.last_used_on ? format.value.day(key.last_used_on) : t.never],
            ]}
          />
          {!key.revoked_at && (
            <>
              <ShownOnce
                label={key.ready ? t.showAgain : t.show}
                hint={key.ready ? t.showAgainHint : undefined}
                make={() => makeApiKeyValue(id)}
                onMade={again}
              />
              <ButtonRow stacked>
                <Button wide label={t.revoke} hint={t.revokeHint} onPress={() => void revoke()} />
              </ButtonRow>
            </>
          )}
        </>
      )}
    </ShopPage>
  )
}
