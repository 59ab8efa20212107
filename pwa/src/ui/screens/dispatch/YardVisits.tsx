import type { Run, Stop } from '../../../domain/contract'
import { joinTripBefore, splitTripAt, type TripMove } from '../../../domain/dispatch/tripMoves'
import { en } from '../../../domain/words/index'
import { stopsOfRun } from '../../../store/dispatch'
import { moveStops } from '../../../store/dispatchCommands'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { navigate } from '../../router'
import { saveWithToast, showToast } from '../../toast'

const t = en.dispatch.move

/** Visits to the yard between two stops. */
export function YardVisits({ row, on }: { row: Stop; on: Run }) {
  const stops = stopsOfRun(on.id)
  const begins = splitTripAt(stops, row.id)
  const joins = joinTripBefore(stops, row.id)

  async function make(moves: readonly TripMove[], words: string) {
    let undo = async () => {}
    const saved = await saveWithToast(async () => {
      undo = await moveStops(on.id, moves)
    })
    if (!saved) return
    showToast(words, undo)
    navigate({ at: 'run', id: on.id }, { replace: true })
  }
  if (begins.length + joins.length === 0) return null
  return (
    <Section title={t.trips}>
      <ButtonRow stacked>
        {begins.length > 0 && (
          <Button
            wide
            label={t.tripFrom}
            hint={t.tripFromHint}
            onPress={() => void make(begins, t.tripBegun)}
          />
        )}
        {joins.length > 0 && (
          <Button
            wide
            label={t.joinBefore}
            hint={t.joinBeforeHint}
            onPress={() => void make(joins, t.tripJoined)}
          />
        )}
      </ButtonRow>
    </Section>
  )
}
