import { type Position, positionOf } from '../../../domain/places'
import type { Stop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { site } from '../../../store/customers'
import { yard } from '../../../store/dispatch'
import { Drawn } from '../../components/Drawn'
import { Part } from '../../components/Part'

const its = en.dispatch.run

/** The run drawn by its positions alone: no roads, no tiles, nothing to fetch. */
export function RunMap({ stops }: { stops: readonly Stop[] }) {
  const home = positionOf(yard.value)
  const known = stops.flatMap((stop, at) => {
    const position = positionOf(site(stop.site_id))
    return position && stop.state !== 'failed'
      ? [{ key: stop.id, position, mark: String(at + 1), trip: stop.trip }]
      : []
  })
  if (known.length === 0) return null
  const lines = [...new Set(known.map(({ trip }) => trip))].map((trip): Position[] => {
    const there = known.filter((each) => each.trip === trip).map(({ position }) => position)
    return home ? [home, ...there, home] : there
  })
  const missing = stops.filter(({ site_id }) => positionOf(site(site_id)) === null).length
  return (
    <Part title={its.map}>
      <Drawn
        label={its.mapWords(known.length)}
        home={home}
        homeWords={its.yard}
        marks={known}
        lines={lines}
      />
      {missing > 0 && <p class="hint">{its.mapUnknown(missing)}</p>}
    </Part>
  )
}
