import type { Wording, WordingChannel, WordingFault } from '../../../domain/notices/templates'
import { words as t } from '../../../domain/words/noticeSettings'

/** What is wrong with a part of a wording. */
export function faultWords(fault: WordingFault, part: keyof Wording, channel: WordingChannel): string {
  switch (fault.what) {
    case 'unknown':
      return t.unknown(fault.field)
    case 'brace':
      return t.brace
    case 'one_line':
      return t.oneLine
    case 'missing':
      return part === 'subject' ? t.missingSubject : t.missingBody
    case 'too_long':
      return part === 'subject' ? t.longSubject : channel === 'sms' ? t.longSms : t.longBody
  }
}
