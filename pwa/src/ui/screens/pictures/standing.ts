import type { Attachment } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { sendingOf } from '../../../store/attachments'

const its = en.pictures.stands

/** Where a picture is on its way to everybody, in words; nothing of one that has arrived. */
export function standing(row: Attachment): string {
  if (row.state === 'ready') return ''
  if (row.state === 'refused') return its.refused(row.reason)
  const sending = sendingOf(row.id)
  if (sending?.trouble) return its.stuck(troubleWords(sending.trouble))
  if (sending && sending.sent < sending.bytes)
    return sending.sent === 0 ? its.here : its.sending(Math.floor((sending.sent * 100) / sending.bytes))
  if (!sending && row.state === 'waiting') return its.elsewhere
  return row.reason ? its.makingBecause(row.reason) : its.making
}

function troubleWords({ code, words }: { code: string; words: string }): string {
  return code === 'damaged' ? en.pictures.wrong.damaged : words
}
