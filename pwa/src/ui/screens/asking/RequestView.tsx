import { useEffect, useState } from 'preact/hooks'
import type { ApprovalLink, Notice } from '../../../domain/rows'
import { en } from '../../../domain/words'
import {
  addressOf,
  isUnsentRequest,
  messageOf,
  noteSent,
  request,
  takeRequestBack,
} from '../../../store/asking'
import { quote } from '../../../store/quotes'
import { shop } from '../../../store/shop'
import { Facts, Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { later } from '../../later'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { useNow } from '../../ticking'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { asksStill, standingOf } from './standing'

const its = en.asking.link

/** What draws the code comes when one is first wanted. */
const Code = later<{ text: string; label: string }>(() =>
  import('../../components/Code').then((module) => module.Code),
)

export function RequestView({ id }: { id: string }) {
  const row = request(id)
  return row ? <Request row={row} /> : <Nowhere />
}

/** One request: its code and link as long as it asks, and what became of it. */
function Request({ row }: { row: ApprovalLink }) {
  const now = useNow()
  const about = quote(row.quote_id)
  const asks = asksStill(row, about, now)
  const unsent = isUnsentRequest(row.id)
  const message = messageOf(row)
  return (
    <Sheet
      over={en.asking.send.title}
      title={its.title}
      under={standingOf(row, about, now)}
      back={{ at: 'quote', id: row.quote_id }}
      dock={<Slab words={en.quote.result.toJob} to={{ at: 'job', id: about?.job_id ?? '' }} />}
    >
      {asks && unsent && <p role="status">{its.waiting}</p>}
      {asks && !unsent && <Link row={row} />}
      <Facts
        facts={[
          [its.to, [en.asking.channel[row.channel], row.address].filter(Boolean).join(' · ')],
          [en.asking.message, message && messageWords(message)],
          [its.until, about?.valid_until && figures.value.day(about.valid_until)],
        ]}
      />
      {row.opened_at !== null && <p class="hint">{its.openedHint}</p>}
      <Keys tall>
        {asks && message?.state === 'by_hand' && (
          <Key
            wide
            words={en.asking.sentByHand}
            onPress={() => void saving(() => noteSent(message.id), en.asking.messages.sent)}
          />
        )}
        {about?.state === 'offered' && (
          <Key wide words={its.again} to={{ at: 'quote-ask', id: row.quote_id }} />
        )}
        {asks && (
          <Key
            wide
            words={its.back}
            onPress={() => void saving(() => takeRequestBack(row.id), its.tookBack)}
          />
        )}
      </Keys>
    </Sheet>
  )
}

function messageWords({ state, reason }: Notice): string {
  const words = en.asking.messages[state]
  return typeof words === 'string' ? words : words(reason)
}

/** The address, fetched while this is in sight and kept nowhere. */
function Link({ row }: { row: ApprovalLink }) {
  const [url, setUrl] = useState<string | null>(null)
  const [failed, setFailed] = useState(false)
  const [turn, setTurn] = useState(0)
  useEffect(() => {
    let here = true
    setFailed(false)
    addressOf(row.id).then(
      (found) => here && setUrl(found),
      () => here && setFailed(true),
    )
    return () => {
      here = false
    }
  }, [row.id, turn])
  if (failed)
    return (
      <div class="blank" role="alert">
        <b>{its.failed}</b>
        <Key words={en.app.tryAgain} onPress={() => setTurn(turn + 1)} />
      </div>
    )
  if (url === null) return <p class="blank">{its.look} …</p>
  const name = shop.value?.name ?? ''
  const body = encodeURIComponent(its.body(name, url))
  const phone = row.address.replace(/[^\d+]/g, '')
  return (
    <Part title={its.scan} hint={its.share}>
      <Code text={url} label={its.code} />
      <Keys tall>
        {row.channel === 'sms' && <Key wide words={its.text} href={`sms:${phone}?body=${body}`} />}
        {row.channel === 'email' && (
          <Key
            wide
            words={its.letter}
            href={`mailto:${encodeURIComponent(row.address)}?subject=${encodeURIComponent(its.subject(name))}&body=${body}`}
          />
        )}
        <Key wide words={its.copy} onPress={() => void copy(url)} />
      </Keys>
    </Part>
  )
}

async function copy(url: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(url)
    tell(its.copied)
  } catch {
    tell(url)
  }
}
