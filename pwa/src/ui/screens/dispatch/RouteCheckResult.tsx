import type { Run } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { checkRun } from '../../../store/routeCheck'
import { Caution, Section } from '../../components/Section'
import { faultText, restOfCheck } from '../../features/dispatch/checkText'
import { useNow } from '../../useNow'

const t = en.dispatch.check

/** After a move by hand, or of a place: what the phone can check of the new order, and what it cannot. */
export function RouteCheckResult({ run }: { run: Run }) {
  const now = useNow()
  if (!run.cautions.some(({ code }) => code === 'moved_by_hand' || code === 'place_moved')) return null
  const check = checkRun(run, now)
  if (!check) return <p class="multiline">{t.noYard}</p>
  return (
    <Section title={en.dispatch.move.check}>
      {check.faults.map((fault) => (
        <Caution key={fault.code} text={faultText(fault)} />
      ))}
      <p class="multiline">{restOfCheck(check)}</p>
      <p class="hint">{`${t.unchecked} ${t.uncheckedWhat}`}</p>
    </Section>
  )
}
