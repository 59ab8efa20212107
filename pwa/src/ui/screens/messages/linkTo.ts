import { mailLink } from '../../../domain/messages'
import { smsLink } from '../../../domain/places'
import type { Notice } from '../../../domain/rows'
import type { Wording } from '../../../domain/template'

/** The phone's own program, with a message in it to the one it goes to. */
export const linkTo = ({ address }: Notice, { subject, body }: Wording): string =>
  address.includes('@') ? mailLink(address, subject, body) : smsLink(address, body)
