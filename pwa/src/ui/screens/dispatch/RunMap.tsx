import { type Position, positionOf } from '../../../domain/places'
import type { Stop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { standsAt, yard } from '../../../store/dispatch'
import { session } from '../../../store/session'
import { Drawn } from '../../components/Drawn'
import { Part } from '../../components/Part'

const its = en.dispatch.run

/** The run drawn by its positions alone, with nothing to fetch; tiles lie behind it where the server names some. */
export function RunMap({ stops }: { stops: readonly Stop[] }) {
  const home = positionOf(yard.value)
  const known = stops.flatMap((stop, at) => {
    const position = standsAt(stop)
    return position && stop.state !== 'failed'
      ? [{ key: stop.id, position, mark: String(at + 1), trip: stop.trip }]
      : []
  })
  if (known.length === 0) return null
  const lines = [...new Set(known.map(({ trip }) => trip))].map((trip): Position[] => {
    const there = known.filter((each) => each.trip === trip).map(({ position }) => position)
    return home ? [home, ...there, home] : there
  })
  const missing = stops.filter((stop) => standsAt(stop) === null).length
  return (
    <Part title={its.map}>
      <Drawn
        label={its.mapWords(known.length)}
        home={home}
        homeWords={its.yard}
        marks={known}
        lines={lines}
        tiles={session.value.tiles}
      />
      {missing > 0 && <p class="hint">{its.mapUnknown(missing)}</p>}
    </Part>
  )
}
