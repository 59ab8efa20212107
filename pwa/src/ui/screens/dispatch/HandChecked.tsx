import type { HandCheck, HandFault } from '../../../domain/byhand'
import type { Run } from '../../../domain/rows'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { checkRun } from '../../../store/byhand'
import { stop } from '../../../store/dispatch'
import { Caution, Part } from '../../components/Part'
import { figures } from '../../shopFigures'
import { useNow } from '../../ticking'
import { aboutStop, weightWords } from './about'

const its = en.dispatch.check

/** After a move by hand: what the phone itself can say of the new order, and what it cannot. */
export function HandChecked({ run }: { run: Run }) {
  const now = useNow()
  if (!run.cautions.some(({ code }) => code === 'moved_by_hand')) return null
  const check = checkRun(run, now)
  if (!check) return <p class="lines">{its.noYard}</p>
  return (
    <Part title={en.dispatch.move.check}>
      {check.faults.map((fault) => (
        <Caution key={fault.code} words={faultWords(fault)} />
      ))}
      <p class="lines">{restWords(check)}</p>
      <p class="hint">{`${its.unchecked} ${its.uncheckedWhat}`}</p>
    </Part>
  )
}

const nameOf = (id: string) => {
  const row = stop(id)
  return row ? aboutStop(row).name : en.app.noName
}

function restWords({ faults, home, noSize, noPlace }: HandCheck): string {
  const told = faults.length === 0 ? [its.holds] : []
  if (home !== null) told.push(its.home(figures.value.time(moment(home * 1000))))
  if (noPlace.length > 0) told.push(its.noPlace(en.app.listed(noPlace.map(nameOf))))
  if (noSize.length > 0) told.push(its.noSize(en.app.listed(noSize.map(nameOf))))
  return told.join('\n')
}

function faultWords({ code, stop: id, over = 0, dimension, other = '' }: HandFault): string {
  const name = nameOf(id)
  const late = String(Math.ceil(over / 60))
  switch (code) {
    case 'window':
    case 'shift':
      return its.faults[code](name, late)
    case 'load':
      if (dimension === 0) return its.faults.load(name, weightWords(over))
      return dimension === 2 ? its.faults.slots(name) : its.faults.deck_space(name)
    case 'deck_space':
    case 'pinned':
      return its.faults[code](name)
    case 'access':
      return its.faults.access(name, en.dispatch.needs[other as keyof typeof en.dispatch.needs].toLowerCase())
    case 'deck_order':
    case 'order':
      return its.faults[code](name, nameOf(other))
  }
}
