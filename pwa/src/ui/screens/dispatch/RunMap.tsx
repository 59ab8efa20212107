import type { Stop } from '../../../domain/contract'
import { type Position, positionOf } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { stopPosition, yard } from '../../../store/dispatch'
import { session } from '../../../store/session/session'
import { LocationMap } from '../../components/LocationMap'
import { Section } from '../../components/Section'

const t = en.dispatch.run

/** The run drawn from positions alone, without a network; map tiles where the server is configured for them. */
export function RunMap({ stops }: { stops: readonly Stop[] }) {
  const home = positionOf(yard.value)
  const known = stops.flatMap((stop, at) => {
    const position = stopPosition(stop)
    return position && stop.state !== 'failed'
      ? [{ key: stop.id, position, label: String(at + 1), trip: stop.trip }]
      : []
  })
  if (known.length === 0) return null
  const lines = [...new Set(known.map(({ trip }) => trip))].map((trip): Position[] => {
    const there = known.filter((each) => each.trip === trip).map(({ position }) => position)
    return home ? [home, ...there, home] : there
  })
  const missing = stops.filter((stop) => stopPosition(stop) === null).length
  return (
    <Section title={t.map}>
      <LocationMap
        label={t.mapWords(known.length)}
        yard={home}
        yardLabel={t.yard}
        markers={known}
        leftOut={en.dispatch.place.leftOut}
        lines={lines}
        tiles={session.value.tiles}
      />
      {missing > 0 && <p class="hint">{t.mapUnknown(missing)}</p>}
    </Section>
  )
}
