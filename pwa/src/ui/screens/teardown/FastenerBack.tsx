import { placedAt } from '../../../domain/bench/putBackMoves'
import type { Fastener } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { movesOf } from '../../../store/teardown'
import { Button } from '../../components/Button'
import { CountRow } from '../../components/CountRow'
import { ListItem } from '../../components/List'
import { sizeName, torqueText } from './stepName'
import { TorqueTick } from './TorqueTick'

interface Props {
  row: Fastener
  loosened: boolean
  /** How many go back with this press. */
  count: number
  useNew: boolean
  onCount: (count: number) => void
  onUseNew: () => void
}

/** One kind of fastener of the step that is put back: how many go in, old or new, and its torque. */
export function FastenerBack({ row, loosened, count, useNew, onCount, onUseNew }: Props) {
  const size = sizeName(row)
  const already = placedAt(row.id, movesOf(row.id))
  const details = [
    row.place,
    row.hidden && t.hidden,
    row.one_use && t.oneUse,
    row.thread_locker && `${t.threadLocker}: ${row.thread_locker}`,
    torqueText(row),
  ]
    .filter(Boolean)
    .join(' · ')
  return (
    <>
      {loosened ? (
        <ListItem title={`${row.count} × ${size}`} details={details} value={t.loosened} />
      ) : (
        <CountRow
          label={size}
          details={details}
          count={t.backCount(already + count, row.count)}
          lessLabel={t.less(size)}
          moreLabel={t.more(size)}
          onStep={(by) => onCount(Math.max(0, count + by))}
        >
          {row.one_use && <Button label={useNew ? t.useNew : t.useOld} onPress={onUseNew} />}
        </CountRow>
      )}
      {(row.torque !== null || row.torque_critical) && <TorqueTick row={row} />}
    </>
  )
}
