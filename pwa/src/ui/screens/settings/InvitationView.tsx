import { useEffect, useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { crew, invitation as t } from '../../../domain/words/members'
import { newId } from '../../../store/browser/clock'
import { type InvitedMember, invitationAddress, invite, withdraw } from '../../../store/members'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList, Section } from '../../components/Section'
import { lazy } from '../../lazy'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { dayOf, format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useNow } from '../../useNow'
import { showAnswer } from './useMembers'

/** Loaded when a code is first shown. */
const LazyQrCode = lazy<{ text: string; label: string }>(() =>
  import('../../components/QrCode').then((module) => module.QrCode),
)

/** A member who was invited and has not joined yet: the link to pass on, to withdraw or to renew. */
export function InvitationView({ row }: { row: InvitedMember }) {
  const { id, name, email, role, may_see_cost, expires_at } = row
  const now = useNow()
  const holds = Date.parse(expires_at) > now

  async function again() {
    const next = newId()
    const answer = await invite(next, { name, email, role, may_see_cost })
    showAnswer(answer, t.madeAgain)
    if (answer.done) navigate({ at: 'member', id: next }, { replace: true })
  }
  async function back() {
    const answer = await withdraw(id)
    showAnswer(answer, t.tookBack(name))
    if (answer.done) navigate({ at: 'members' }, { replace: true })
  }
  return (
    <ShopPage overline={crew.title} title={name}>
      {holds ? <InvitationLink id={id} name={name} email={email} /> : <p role="status">{t.tooOld}</p>}
      <DescriptionList
        items={[
          [en.settings.role, en.settings.roles[role]],
          [t.signsIn, email],
          [crew.membership, crew.invited],
          [t.until, format.value.day(dayOf(expires_at))],
        ]}
      />
      <ButtonRow stacked>
        <Button wide label={t.again} hint={t.againHint} onPress={() => void again()} />
        <Button wide label={t.back} onPress={() => void back()} />
      </ButtonRow>
    </ShopPage>
  )
}

/** The secret link, fetched while this is shown and never stored. */
function InvitationLink({ id, name, email }: { id: string; name: string; email: string }) {
  const [url, setUrl] = useState<string | null>(null)
  const [failed, setFailed] = useState(false)
  const [turn, setTurn] = useState(0)
  useEffect(() => {
    let here = true
    setFailed(false)
    invitationAddress(id).then(
      (found) => here && setUrl(found),
      () => here && setFailed(true),
    )
    return () => {
      here = false
    }
  }, [id, turn])
  if (failed)
    return (
      <div class="empty-state" role="alert">
        <b>{crew.noSignal}</b>
        <Button label={en.app.tryAgain} onPress={() => setTurn(turn + 1)} />
      </div>
    )
  if (url === null) return <p class="empty-state">{en.app.loading}</p>
  const place = shop.value?.name ?? ''
  const body = encodeURIComponent(t.body(name, place, url))
  const subject = encodeURIComponent(t.subject(place))
  return (
    <Section title={t.scan} hint={t.share}>
      <LazyQrCode text={url} label={t.code} />
      <ButtonRow stacked>
        <Button wide label={t.text} href={`sms:?body=${body}`} />
        <Button
          wide
          label={t.letter}
          href={`mailto:${encodeURIComponent(email)}?subject=${subject}&body=${body}`}
        />
        <Button wide label={t.copy} onPress={() => void copy(url)} />
      </ButtonRow>
    </Section>
  )
}

async function copy(url: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(url)
    showToast(t.copied)
  } catch {
    showToast(url)
  }
}
