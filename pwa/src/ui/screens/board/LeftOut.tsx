import type { LeftOutCode, Stop } from '../../../domain/contract'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { latestPlan, stop, stopPosition } from '../../../store/dispatch'
import { Button } from '../../components/Button'
import { aboutStop } from '../../features/dispatch/stopText'
import { buildPath, type Route } from '../../router'
import { format } from '../../shopFormat'
import type { Board } from './useBoard'
import { stopActs } from './useBoardKeys'

const TIMES: ReadonlySet<LeftOutCode> = new Set([
  'window',
  'daylight',
  'too_early',
  'other_day',
  'times_over',
  'no_window',
  'no_time',
])

/** Stops on no run of the day, each with its reason and what to do about it. */
export function LeftOut({ board }: { board: Board }) {
  const { waiting } = board.shown
  if (waiting.length === 0) return null
  const reasons = new Map(latestPlan(board.day)?.answer?.left_out.map((row) => [row.stop_id, row]))
  return (
    <table class="left-out">
      <caption>
        {t.leftOut} <span>{waiting.length}</span>
      </caption>
      <thead>
        <tr>
          <th scope="col">{t.who}</th>
          <th scope="col">{t.kind}</th>
          <th scope="col">{t.why}</th>
          <th scope="col">{t.act}</th>
        </tr>
      </thead>
      <tbody>
        {waiting.map((id) => {
          const row = stop(id)
          if (!row) return null
          const { name } = aboutStop(row)
          const reason = reasons.get(id)
          const byHand = row.run_id !== null
          const fix = byHand ? null : fixOf(row, reason?.code)
          return (
            <tr key={id} data-stop={id} class={id === board.chosen ? 'chosen' : undefined}>
              <th scope="row">
                <a href={buildPath({ at: 'stop', id })}>{name}</a>
              </th>
              <td>{en.dispatch.kinds[row.kind]}</td>
              <td>{byHand ? t.reasons.byHand : (reason?.words ?? ownReason(row, board.day))}</td>
              <td>
                <Button label={t.put} ariaLabel={t.putOf(name)} onPress={stopActs(board, id).put} />
                {fix && <Button label={fix.label} ariaLabel={t.fixOf(fix.label, name)} to={fix.to} />}
              </td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}

function ownReason(row: Stop, day: string): string {
  if (stopPosition(row) === null) return t.reasons.noPosition
  if (row.earliest_on !== null && row.earliest_on > day)
    return t.reasons.notBefore(format.value.weekday(row.earliest_on))
  return t.reasons.notPlanned
}

const placeForm = (row: Stop): Route =>
  row.supplier_id === null
    ? { at: 'site-edit', id: row.site_id ?? '', stopId: row.id }
    : { at: 'supplier', id: row.supplier_id }

/** What would let a plan take the stop. */
function fixOf(row: Stop, code: LeftOutCode | undefined): { label: string; to: Route } | null {
  if (code === 'position_missing' || code === 'position_far' || stopPosition(row) === null)
    return { label: t.fix.position, to: placeForm(row) }
  if (code === 'job_not_ready' && row.job_id !== null)
    return { label: t.fix.job, to: { at: 'job', id: row.job_id } }
  return code && TIMES.has(code) ? { label: t.fix.times, to: { at: 'stop-edit', id: row.id } } : null
}
