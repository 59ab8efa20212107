import { type Supplier, WEEK_DAYS } from '../../../domain/contract'
import { fetchStops as t } from '../../../domain/words/fetchStops'
import { en } from '../../../domain/words/index'
import { clockText } from '../dispatch/stopText'

/** "Open 8:00 AM to 5:00 PM, Monday, Tuesday"; empty: not known. */
export function hoursText({ opens, closes, open_on }: Supplier): string {
  const hours = opens && closes ? en.dispatch.between(clockText(opens), clockText(closes)) : ''
  const days = WEEK_DAYS.filter((day) => open_on.includes(day)).map((day) => en.shopForm.weekDays[day])
  return hours || days.length > 0 ? `${t.hours}: ${[hours, ...days].filter(Boolean).join(', ')}` : ''
}
