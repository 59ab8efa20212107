import type { Notice } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { mailLink } from '../../../domain/notices/mailLink'
import type { Wording } from '../../../domain/notices/templates'
import { en } from '../../../domain/words'
import { readNoticeWithLink } from '../../../store/notices'
import { dismissToast, showToast } from '../../toast'

const t = en.messages.log

/** A link that opens the phone's mail or text app with the message and its recipient. */
export const messageLink = ({ address }: Notice, { subject, body }: Wording): string =>
  address.includes('@') ? mailLink(address, subject, body) : smsLink(address, body)

/** What a message says in a list; its secret link, which no phone stores, is named. */
export const shownText = ({ subject, body }: Notice): string =>
  (subject || body).replaceAll('{link}', t.linkName)

/** Opens a message with its secret link in the messaging app. The link is fetched now and not stored. */
export async function openWhole(row: Notice) {
  showToast(`${t.fetching} …`)
  const found = await readNoticeWithLink(row.id)
  if (found === null || typeof found === 'string') return showToast(found ?? t.online)
  dismissToast()
  location.href = messageLink(row, found)
}
