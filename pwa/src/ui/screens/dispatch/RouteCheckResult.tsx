import type { Run } from '../../../domain/contract'
import type { RouteCheck, RouteFault } from '../../../domain/dispatch/routeCheck'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { stop } from '../../../store/dispatch'
import { checkRun } from '../../../store/routeCheck'
import { Caution, Section } from '../../components/Section'
import { aboutStop, weightText } from '../../features/dispatch/stopText'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'

const t = en.dispatch.check

/** After a move by hand: what the phone can check of the new order, and what it cannot. */
export function RouteCheckResult({ run }: { run: Run }) {
  const now = useNow()
  if (!run.cautions.some(({ code }) => code === 'moved_by_hand')) return null
  const check = checkRun(run, now)
  if (!check) return <p class="multiline">{t.noYard}</p>
  return (
    <Section title={en.dispatch.move.check}>
      {check.faults.map((fault) => (
        <Caution key={fault.code} text={faultWords(fault)} />
      ))}
      <p class="multiline">{restWords(check)}</p>
      <p class="hint">{`${t.unchecked} ${t.uncheckedWhat}`}</p>
    </Section>
  )
}

const nameOf = (id: string) => {
  const row = stop(id)
  return row ? aboutStop(row).name : en.app.noName
}

function restWords({ faults, home, noSize, noPlace, noStraps }: RouteCheck): string {
  const lines = faults.length === 0 ? [t.holds] : []
  if (noStraps) lines.push(t.strapsUnknown)
  if (home !== null) lines.push(t.home(format.value.time(moment(home * 1000))))
  if (noPlace.length > 0) lines.push(t.noPlace(en.app.listed(noPlace.map(nameOf))))
  if (noSize.length > 0) lines.push(t.noSize(en.app.listed(noSize.map(nameOf))))
  return lines.join('\n')
}

function faultWords({ code, stop: id, over = 0, dimension, other = '' }: RouteFault): string {
  const name = nameOf(id)
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
      return t.faults[code](name, nameOf(other))
  }
}
