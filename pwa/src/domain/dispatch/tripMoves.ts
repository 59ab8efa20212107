/** Editing the trips of a run by hand; between two trips the rig is at the yard. Trips and positions count from 0. */

/** A stop with its position in its run. */
export interface PlacedStop {
  id: string
  trip: number
  position: number
}

export interface TripMove {
  id: string
  from: { trip: number; position: number }
  to: { trip: number; position: number }
}

/** Begin a new trip with this stop and those after it in its trip; later trips move up by one. */
export function splitTripAt(stops: readonly PlacedStop[], id: string): TripMove[] {
  const first = stops.find((each) => each.id === id)
  if (!first || !stopsBefore(stops, first)) return []
  const behind = stops.filter(({ trip, position }) => trip === first.trip && position >= first.position)
  const later = stops.filter(({ trip }) => trip > first.trip)
  return inTurn([
    ...later.map((each) => moving(each, each.trip + 1, each.position)),
    ...behind.map((each) => moving(each, first.trip + 1, each.position - first.position)),
  ])
}

/** Join the trip that begins with this stop to the one before it; later trips move down by one. */
export function joinTripBefore(stops: readonly PlacedStop[], id: string): TripMove[] {
  const first = stops.find((each) => each.id === id)
  if (!first || first.trip === 0 || stopsBefore(stops, first)) return []
  const before = stops.filter(({ trip }) => trip === first.trip - 1).length
  const joined = stops.filter(({ trip }) => trip === first.trip)
  const later = stops.filter(({ trip }) => trip > first.trip)
  return inTurn([
    ...joined.map((each) => moving(each, first.trip - 1, before + each.position)),
    ...later.map((each) => moving(each, each.trip - 1, each.position)),
  ])
}

/** The moves that undo these. */
export function reverseMoves(moves: readonly TripMove[]): TripMove[] {
  return inTurn(moves.map(({ id, from, to }) => ({ id, from: to, to: from })))
}

/** Whether its trip has a stop before it. */
export function stopsBefore(
  stops: readonly PlacedStop[],
  { trip, position }: Omit<PlacedStop, 'id'>,
): boolean {
  return stops.some((each) => each.trip === trip && each.position < position)
}

const moving = ({ id, trip, position }: PlacedStop, toTrip: number, toPosition: number): TripMove => ({
  id,
  from: { trip, position },
  to: { trip: toTrip, position: toPosition },
})

/** In an order in which each new trip number is already free: from the last trip when moving up. */
function inTurn(moves: readonly TripMove[]): TripMove[] {
  const way = (each: TripMove) => (each.to.trip > each.from.trip ? -1 : 1)
  return moves.toSorted(
    (one, other) => way(one) * (one.from.trip - other.from.trip) || one.to.position - other.to.position,
  )
}
