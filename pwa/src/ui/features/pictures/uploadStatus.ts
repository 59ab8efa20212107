import type { Attachment } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { uploadOf } from '../../../store/pictures/attachments'

const t = en.pictures.status

/** The upload status of a picture as text; empty once it is on the server. */
export function uploadStatus(row: Attachment): string {
  if (row.state === 'ready') return ''
  if (row.state === 'refused') return t.refused(row.reason)
  const sending = uploadOf(row.id)
  if (sending?.trouble) return t.stuck(troubleWords(sending.trouble))
  if (sending && sending.sent < sending.bytes)
    return sending.sent === 0 ? t.here : t.sending(Math.floor((sending.sent * 100) / sending.bytes))
  if (!sending && row.state === 'waiting') return t.elsewhere
  return row.reason ? t.makingBecause(row.reason) : t.making
}

function troubleWords({ code, words }: { code: string; words: string }): string {
  return code === 'damaged' ? en.pictures.wrong.damaged : words
}
