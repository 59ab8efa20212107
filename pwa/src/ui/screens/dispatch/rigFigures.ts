import { centimetres, kilograms, typedLength, typedWeight, type Units } from '../../../domain/measures'
import type { Deck, Rig, Trailer, Truck } from '../../../domain/rows'
import { rig as its } from '../../../domain/words.rig'
import { figures } from '../../shopFigures'

type Name = keyof typeof its.fields

/** Figures of a rig as typed, by name; a name says its unit by its ending. */
export type TypedFigures = Partial<Record<Name, string>>

export const DECK: readonly Name[] = [
  'deck_length_cm',
  'deck_width_cm',
  'deck_height_cm',
  'deck_slots',
  'deck_lanes',
]
export const TRAILER: readonly Name[] = [
  'trailer_empty_kg',
  'trailer_tongue_kg',
  'trailer_axle_cm',
  'trailer_deck_cm',
  'trailer_axles',
  'trailer_track_cm',
  'trailer_gvwr_kg',
  'trailer_gawr_kg',
  'trailer_tires_kg',
  'trailer_coupler_kg',
]
export const TRUCK: readonly Name[] = [
  'truck_ready_kg',
  'truck_gvwr_kg',
  'truck_gcwr_kg',
  'truck_hitch_kg',
  'truck_hitch_tongue_kg',
  'truck_ball_kg',
  'truck_rear_ready_kg',
  'truck_rear_gawr_kg',
  'truck_wheelbase_cm',
  'truck_overhang_cm',
]
export const LOADING: readonly Name[] = ['ramp_length_cm', 'straps']

const ALL = [...DECK, ...TRAILER, ...TRUCK, ...LOADING]
// Past these a figure is a slip of the keyboard, on the server too.
const MOST_KG = 60_000
const MOST_CM = 3_000
/** Counts with the most of each; all but straps are never nothing. */
const COUNTS: Readonly<Record<string, number>> = {
  deck_slots: 12,
  deck_lanes: 4,
  trailer_axles: 4,
  straps: 99,
  tie_points: 20,
}

/** "lb", "in" or nothing for a count. */
export function unitOf(name: string, units: Units): string {
  if (name.endsWith('_kg')) return units === 'us' ? 'lb' : 'kg'
  if (name.endsWith('_cm')) return units === 'us' ? 'in' : 'cm'
  return ''
}

/** One figure as typed, in SI; null for an empty field, undefined for one that is no such figure. */
export function readFigure(name: string, typed: string, units: Units): number | null | undefined {
  if (!typed.trim()) return null
  const read = figures.value.readNumber(typed)
  if (read === null) return undefined
  const amount = Number(read)
  const most = COUNTS[name]
  if (most !== undefined)
    return Number.isInteger(amount) && amount >= 1 && amount <= most ? amount : undefined
  const whole = name.endsWith('_kg') ? kilograms(amount, units) : centimetres(amount, units)
  return whole >= 1 && whole <= (name.endsWith('_kg') ? MOST_KG : MOST_CM) ? whole : undefined
}

export function typedFigure(name: string, value: number | null | undefined, units: Units): string {
  if (value === null || value === undefined) return ''
  if (name.endsWith('_kg')) return typedWeight(value, units)
  return name.endsWith('_cm') ? typedLength(value, units) : String(value)
}

/** The groups of a rig laid out by name. */
export function typedFigures(rig: Rig | null, units: Units): TypedFigures {
  const values: Record<string, number | null | undefined> = rig
    ? {
        ...under('deck', rig.deck),
        ...under('trailer', rig.trailer),
        ...under('truck', rig.truck),
        ramp_length_cm: rig.ramp_length_cm,
        straps: rig.straps,
      }
    : { deck_slots: 1, deck_lanes: 1 }
  return Object.fromEntries(ALL.map((name) => [name, typedFigure(name, values[name], units)]))
}

const under = (group: string, values: object | null): Record<string, number | null> =>
  Object.fromEntries(Object.entries(values ?? {}).map(([name, value]) => [`${group}_${name}`, value]))

export function faultsOfFigures(typed: TypedFigures, units: Units): Partial<Record<Name, string>> {
  const wrong: Partial<Record<Name, string>> = {}
  for (const name of ALL) {
    if (readFigure(name, typed[name] ?? '', units) !== undefined) continue
    const most = COUNTS[name]
    wrong[name] = most === undefined ? its.wrong : its.wrongCount(most)
  }
  return wrong
}

/** The groups as a command takes them; a trailer or truck of which nothing is known is none. */
export function groupsOf(typed: TypedFigures, units: Units) {
  const group = (name: 'deck' | 'trailer' | 'truck', names: readonly Name[]) =>
    Object.fromEntries(
      names.map((each) => [each.slice(name.length + 1), readFigure(each, typed[each] ?? '', units) ?? null]),
    )
  const known = (values: Record<string, number | null>) =>
    Object.entries(values).some(([name, value]) => name !== 'axles' && value !== null)
  const deck = group('deck', DECK)
  const trailer = group('trailer', TRAILER)
  const truck = group('truck', TRUCK)
  return {
    deck: { ...deck, slots: deck['slots'] ?? 1, lanes: deck['lanes'] ?? 1 } as unknown as Deck,
    trailer: known(trailer) ? ({ ...trailer, axles: trailer['axles'] ?? 1 } as unknown as Trailer) : null,
    truck: known(truck) ? (truck as unknown as Truck) : null,
    ramp_length_cm: readFigure('ramp_length_cm', typed.ramp_length_cm ?? '', units) ?? null,
    straps: readFigure('straps', typed.straps ?? '', units) ?? null,
  }
}
