import { warranty as t } from '../../../domain/words/comebacks'
import { en } from '../../../domain/words/index'
import type { WarrantyLine } from '../../../store/warranty'
import { format } from '../../shopFormat'

/** Until when a line is under warranty, and whether that is not known for want of a meter reading. */
export function warrantyText({ standing }: Pick<WarrantyLine, 'standing'>): string {
  const { state, through, through_hours } = standing
  const { day, number } = format.value
  const known = through_hours !== null
  const until =
    through !== null && known
      ? t.untilEither(day(through), number(through_hours))
      : through !== null
        ? t.untilDay(day(through))
        : known
          ? t.untilHoursAlone(number(through_hours))
          : ''
  if (state !== 'cannot_say') return until
  return en.app.joined([until, known ? t.notReadSince : t.noReading])
}
