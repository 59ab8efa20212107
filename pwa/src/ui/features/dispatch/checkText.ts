import type { RouteCheck, RouteFault } from '../../../domain/dispatch/routeCheck'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { stop } from '../../../store/dispatch'
import { format } from '../../shopFormat'
import { aboutStop, weightText } from './stopText'

const t = en.dispatch.check

/** The customer of a stop. */
export const stopName = (id: string) => {
  const row = stop(id)
  return row ? aboutStop(row).name : en.app.noName
}

/** What the check says besides its faults, line by line. */
export function restOfCheck({ faults, home, noSize, noPlace, noStraps }: RouteCheck): string {
  const lines = faults.length === 0 ? [t.holds] : []
  if (noStraps) lines.push(t.strapsUnknown)
  if (home !== null) lines.push(t.home(format.value.time(moment(home * 1000))))
  if (noPlace.length > 0) lines.push(t.noPlace(en.app.listed(noPlace.map(stopName))))
  if (noSize.length > 0) lines.push(t.noSize(en.app.listed(noSize.map(stopName))))
  return lines.join('\n')
}

/** A rule that an order breaks, as a sentence. */
export function faultText({ code, stop: id, over = 0, dimension, other = '' }: RouteFault): string {
  const name = stopName(id)
  const late = String(Math.ceil(over / 60))
  switch (code) {
    case 'window':
    case 'shift':
      return t.faults[code](name, late)
    case 'load':
      if (dimension === 0) return t.faults.load(name, weightText(over))
      return dimension === 2 ? t.faults.slots(name) : t.faults.deck_space(name)
    case 'straps':
      return t.faults.straps(name, String(over))
    case 'deck_space':
    case 'pinned':
      return t.faults[code](name)
    case 'access':
      return t.faults.access(name, en.dispatch.needs[other as keyof typeof en.dispatch.needs].toLowerCase())
    case 'deck_order':
    case 'order':
      return t.faults[code](name, stopName(other))
  }
}
