/** Converts figures of rigs and machines between form fields (as typed, in the shop's units) and rows. */

import type { DeckFields, Rig, TrailerFields, TruckFields, Units } from '../contract'
import { type Measure, type MeasureQuantity, measureText, readMeasure, unitFor } from '../numbers/measures.ts'
import type { Limits } from '../validation/fieldFaults.ts'
import { DECK_LIMITS, RIG_LIMITS, type RigInput, TRAILER_LIMITS, TRUCK_LIMITS } from './rigFaults.ts'

/** How a shop writes figures. */
export interface NumberStyle {
  units: Units
  readNumber: (text: string) => string | null
  /** The decimal mark. */
  mark: string
}

/** The name of a figure of a rig, groups flattened; its ending is the unit. */
export type FigureName =
  | `deck_${keyof typeof DECK_LIMITS}`
  | `trailer_${keyof typeof TRAILER_LIMITS}`
  | `truck_${keyof typeof TRUCK_LIMITS}`
  | (typeof LOADING)[number]

/** Figures of a rig as typed. */
export type TypedFigures = Partial<Record<FigureName, string>>

const namesUnder = <Prefix extends string, Name extends string>(
  prefix: Prefix,
  limits: Readonly<Record<Name, unknown>>,
) => (Object.keys(limits) as Name[]).map((name) => `${prefix}_${name}` as const)

export const DECK = namesUnder('deck', DECK_LIMITS)
export const TRAILER = namesUnder('trailer', TRAILER_LIMITS)
export const TRUCK = namesUnder('truck', TRUCK_LIMITS)
export const LOADING = ['ramp_length_cm', 'straps', 'strap_wll_kg'] as const
const ALL: readonly FigureName[] = [...DECK, ...TRAILER, ...TRUCK, ...LOADING]

const GROUPS: Readonly<Record<string, Readonly<Record<string, Limits>>>> = {
  deck: DECK_LIMITS,
  trailer: TRAILER_LIMITS,
  truck: TRUCK_LIMITS,
}

/** Minimum and maximum of a figure, by its name in the form: "deck_slots". */
export function limitsOf(name: string): Limits {
  const [group = '', ...rest] = name.split('_')
  const limits: Readonly<Record<string, Limits>> = RIG_LIMITS
  return limits[name] ?? GROUPS[group]?.[rest.join('_')] ?? [0, Number.POSITIVE_INFINITY]
}

const quantityOf = (name: string): MeasureQuantity | null => {
  if (name.endsWith('_kg')) return 'weight'
  return name.endsWith('_cm') ? 'length' : null
}

/** The field of a row with the typed text of a measure: "mass_typed" for "mass_kg". */
export const typedBeside = (name: string): string => `${name.slice(0, -3)}_typed`

/** "lb", "in" or nothing for a count. */
export function unitOf(name: string, units: Units): string {
  const quantity = quantityOf(name)
  return quantity === null ? '' : unitFor(quantity, units)
}

/**
 * One figure from its field: a measure as typed with its whole number in SI, or a count; null for an empty field,
 * undefined for text that cannot be read. A field that still has the text `seen` keeps the stored figure.
 */
export function readFigure(
  name: string,
  text: string,
  { units, readNumber, ...writing }: NumberStyle,
  seen: Measure | null = null,
): Measure | null | undefined {
  if (seen !== null && text === figureText(name, seen, { units, readNumber, ...writing })) return seen
  const quantity = quantityOf(name)
  if (quantity !== null) return readMeasure(text, quantity, units, readNumber)
  if (!text.trim()) return null
  const read = readNumber(text)
  return read === null ? undefined : { whole: Number(read), typed: '' }
}

/** The text of a figure in its field: as typed, else in the shop's own unit. */
export function figureText(name: string, figure: Measure | null, { units, mark }: NumberStyle): string {
  if (figure === null) return ''
  const quantity = quantityOf(name)
  return quantity === null ? String(figure.whole) : measureText(figure, quantity, units, mark)
}

/** A figure of a row with its typed text. */
export function seenFigure(row: object, name: string, typed: unknown): Measure | null {
  const whole: unknown = Reflect.get(row, name)
  return typeof whole === 'number' ? { whole, typed: typeof typed === 'string' ? typed : '' } : null
}

/** The figures of a rig by name, groups flattened. */
export function figuresOfRig(rig: Rig | null): Partial<Record<FigureName | 'payload_kg', Measure | null>> {
  if (rig === null) return { deck_slots: { whole: 1, typed: '' }, deck_lanes: { whole: 1, typed: '' } }
  const beside = (name: string) => [name, seenFigure(rig, name, Reflect.get(rig, typedBeside(name)))] as const
  return Object.fromEntries([
    ...under('deck', rig.deck),
    ...under('trailer', rig.trailer),
    ...under('truck', rig.truck),
    beside('payload_kg'),
    beside('ramp_length_cm'),
    beside('strap_wll_kg'),
    ['straps', seenFigure(rig, 'straps', '')],
  ])
}

function under(
  group: string,
  row: DeckFields | TrailerFields | TruckFields | null,
): [string, Measure | null][] {
  if (row === null) return []
  return Object.keys(row)
    .filter((name) => name !== 'typed')
    .map((name) => [`${group}_${name}`, seenFigure(row, name, row.typed?.[name])])
}

/** The texts of all figures in their fields. */
export function typedFigures(rig: Rig | null, writing: NumberStyle): TypedFigures {
  const seen = figuresOfRig(rig)
  return Object.fromEntries(ALL.map((name) => [name, figureText(name, seen[name] ?? null, writing)]))
}

/** The fields whose text is not a figure. */
export const unreadFigures = (typed: TypedFigures, writing: NumberStyle): FigureName[] =>
  ALL.filter((name) => readFigure(name, typed[name] ?? '', writing) === undefined)

type RigFigures = Pick<
  RigInput,
  | 'deck'
  | 'trailer'
  | 'truck'
  | 'ramp_length_cm'
  | 'ramp_length_typed'
  | 'straps'
  | 'strap_wll_kg'
  | 'strap_wll_typed'
>

/**
 * The figures as arguments of a command. Unreadable ones are left out; without a trailer its group is null, and so is a
 * truck without figures.
 */
export function groupsOf(
  texts: TypedFigures,
  writing: NumberStyle,
  rig: Rig | null,
  tows: boolean,
): RigFigures {
  const seen = figuresOfRig(rig)
  const read = (name: FigureName) => readFigure(name, texts[name] ?? '', writing, seen[name] ?? null) ?? null
  const deck = groupOf('deck', DECK, read)
  const trailer = groupOf('trailer', TRAILER, read)
  const truck = groupOf('truck', TRUCK, read)
  const ramp = read('ramp_length_cm')
  const strap = read('strap_wll_kg')
  return {
    deck: { ...deck, slots: deck['slots'] ?? 1, lanes: deck['lanes'] ?? 1 } as unknown as DeckFields,
    trailer: tows ? ({ ...trailer, axles: trailer['axles'] ?? 1 } as unknown as TrailerFields) : null,
    truck: Object.values(truck).some((value) => value !== null) ? (truck as unknown as TruckFields) : null,
    ramp_length_cm: ramp?.whole ?? null,
    ramp_length_typed: ramp?.typed ?? '',
    straps: read('straps')?.whole ?? null,
    strap_wll_kg: strap?.whole ?? null,
    strap_wll_typed: strap?.typed ?? '',
  }
}

/** One group of figures, with the typed text of each by name. */
function groupOf<Name extends FigureName>(
  prefix: 'deck' | 'trailer' | 'truck',
  names: readonly Name[],
  read: (name: Name) => Measure | null,
): Record<string, number | null> & { typed?: DeckFields['typed'] } {
  const figures = names.map((name) => [name.slice(prefix.length + 1), read(name)] as const)
  const typed = figures.flatMap(([name, figure]) => (figure?.typed ? [[name, figure.typed] as const] : []))
  return {
    ...Object.fromEntries(figures.map(([name, figure]) => [name, figure?.whole ?? null])),
    ...(typed.length > 0 && { typed: Object.fromEntries(typed.sort(([a], [b]) => (a < b ? -1 : 1))) }),
  } as Record<string, number | null> & { typed?: DeckFields['typed'] }
}
