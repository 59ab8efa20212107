import type { Notice } from '../../../domain/contract'
import { smsLink } from '../../../domain/geo/places'
import { mailLink } from '../../../domain/notices/mailLink'
import type { Wording } from '../../../domain/notices/templates'

/** A link that opens the phone's mail or text app with the message and its recipient. */
export const messageLink = ({ address }: Notice, { subject, body }: Wording): string =>
  address.includes('@') ? mailLink(address, subject, body) : smsLink(address, body)
