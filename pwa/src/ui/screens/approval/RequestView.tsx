import { useEffect, useState } from 'preact/hooks'
import type { ApprovalLink, Notice } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import {
  isUnsentRequest,
  markSentByHand,
  noticeOfRequest,
  readRequestLink,
  request,
  revokeRequest,
} from '../../../store/approvalRequests'
import { quote } from '../../../store/quotes'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { DescriptionList, Section } from '../../components/Section'
import { isOpenRequest, requestStatus } from '../../features/approval/requestStatus'
import { openWhole } from '../../features/messages/messageLink'
import { lazy } from '../../lazy'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { useNow } from '../../useNow'

const t = en.asking.link

/** Loaded when a code is first shown. */
const LazyQrCode = lazy<{ text: string; label: string }>(() =>
  import('../../components/QrCode').then((module) => module.QrCode),
)

export function RequestView({ id }: { id: string }) {
  const row = request(id)
  return row ? <RequestDetails row={row} /> : <NotFound />
}

/** One request: QR code and link while it is open, and its outcome. */
function RequestDetails({ row }: { row: ApprovalLink }) {
  const now = useNow()
  const about = quote(row.quote_id)
  const asks = isOpenRequest(row, about, now)
  const unsent = isUnsentRequest(row.id)
  const message = noticeOfRequest(row)
  // Nothing has been sent until a person has sent it.
  const toSend = asks && !unsent && message?.state === 'by_hand' ? message : null
  return (
    <ShopPage
      overline={en.asking.send.title}
      title={t.title}
      subtitle={requestStatus(row, about, now)}
      back={{ at: 'quote', id: row.quote_id }}
      dock={
        toSend ? (
          <PrimaryButton label={openLabel(row)} onPress={() => void openWhole(toSend)} />
        ) : (
          <PrimaryButton label={en.quote.result.toJob} to={{ at: 'job', id: about?.job_id ?? '' }} />
        )
      }
    >
      {asks && unsent && <p role="status">{t.waiting}</p>}
      {asks && !unsent && <RequestLink row={row} message={message} />}
      <DescriptionList
        items={[
          [t.to, [en.asking.channel[row.channel], row.address].filter(Boolean).join(' · ')],
          [en.asking.message, message && messageWords(message)],
          [t.until, about?.valid_until && format.value.day(about.valid_until)],
        ]}
      />
      {row.opened_at !== null && <p class="hint">{t.openedHint}</p>}
      <ButtonRow stacked>
        {toSend && (
          <>
            <Button
              wide
              label={en.asking.sentByHand}
              onPress={() => void saveWithToast(() => markSentByHand(toSend.id), en.asking.messages.sent)}
            />
            <Button wide label={en.quote.result.toJob} to={{ at: 'job', id: about?.job_id ?? '' }} />
          </>
        )}
        {about?.state === 'offered' && (
          <Button wide label={t.again} to={{ at: 'quote-ask', id: row.quote_id }} />
        )}
        {asks && (
          <Button
            wide
            label={t.back}
            onPress={() => void saveWithToast(() => revokeRequest(row.id), t.tookBack)}
          />
        )}
      </ButtonRow>
    </ShopPage>
  )
}

const openLabel = ({ channel }: ApprovalLink): string => (channel === 'sms' ? t.text : t.letter)

function messageWords({ state, reason }: Notice): string {
  const words = en.asking.messages[state]
  return typeof words === 'string' ? words : words(reason)
}

/** The secret link, fetched while this is shown and never stored. */
function RequestLink({ row, message }: { row: ApprovalLink; message: Notice | undefined }) {
  const [url, setUrl] = useState<string | null>(null)
  const [failed, setFailed] = useState(false)
  const [turn, setTurn] = useState(0)
  useEffect(() => {
    let here = true
    setFailed(false)
    readRequestLink(row.id).then(
      (found) => here && setUrl(found),
      () => here && setFailed(true),
    )
    return () => {
      here = false
    }
  }, [row.id, turn])
  if (failed)
    return (
      <div class="empty-state" role="alert">
        <b>{t.failed}</b>
        <Button label={en.app.tryAgain} onPress={() => setTurn(turn + 1)} />
      </div>
    )
  if (url === null) return <p class="empty-state">{t.look} …</p>
  return (
    <Section title={t.scan} hint={t.share}>
      <LazyQrCode text={url} label={t.code} />
      <ButtonRow stacked>
        {message && message.state !== 'by_hand' && (
          <Button wide label={openLabel(row)} onPress={() => void openWhole(message)} />
        )}
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
