import type { Yard } from '../../../domain/contract'
import { LEFT_OUT } from '../../../domain/contractDefaults'
import { faultsOfYard, YARD_LIMITS, type YardInput } from '../../../domain/dispatch/rigFaults'
import { readPair, typedPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words/index'
import { yard as t } from '../../../domain/words/rig'
import { units } from '../../features/dispatch/stopText'
import type { FieldErrors } from '../../useForm'

const KM_A_MILE = 1.609344

type Figure = keyof typeof YARD_LIMITS

/** The number fields of the form, by the field of the row. */
const FIELDS = {
  loading_minutes: 'loading',
  pickup_minutes: 'pickup',
  return_minutes: 'return',
  visit_minutes: 'visit',
  speed_kmh: 'speed',
  trailer_percent: 'trailerPercent',
  turn_in_minutes: 'turnIn',
  tongue_low_permille: 'low',
  tongue_high_permille: 'high',
  least_tie_downs: 'ties',
} as const satisfies Readonly<Record<Figure, string>>
const FIGURES = Object.keys(FIELDS) as Figure[]

const NEW: Omit<YardInput, 'lat' | 'lon'> = LEFT_OUT.set_up_yard

/** The yard as text in the form: speed in the shop's unit, tongue weight in percent. */
export type YardFormFields = Record<(typeof FIELDS)[Figure] | 'place' | 'opens' | 'closes', string>

/** One unit of the form in units of the row. */
function unitOf(figure: Figure): number {
  if (figure.endsWith('_permille')) return 10
  return figure === 'speed_kmh' && units() === 'us' ? KM_A_MILE : 1
}

export function toYardFormFields(seen: Yard | null): YardFormFields {
  const figures = FIGURES.map((figure) => {
    const value = (seen ?? NEW)[figure]
    const shown = value === null ? '' : String(roundTo(figure, value / unitOf(figure)))
    return [FIELDS[figure], shown] as const
  })
  return {
    place: typedPair(seen),
    opens: (seen ?? NEW).opens,
    closes: (seen ?? NEW).closes,
    ...(Object.fromEntries(figures) as Record<(typeof FIELDS)[Figure], string>),
  }
}

const roundTo = (figure: Figure, value: number) => (figure === 'speed_kmh' ? Math.round(value) : value)

/** Parses a whole number; NaN where it is none, which every limit rejects. */
const whole = (text: string): number => (/^\d{1,4}$/u.test(text.trim()) ? Number(text) : Number.NaN)

/** The yard as the command takes it. */
export function toYardFields(typed: YardFormFields): YardInput {
  const figures = FIGURES.map((figure) => {
    const text = typed[FIELDS[figure]]
    const isEmpty = figure === 'speed_kmh' && !text.trim()
    return [figure, isEmpty ? null : roundTo(figure, whole(text) * unitOf(figure))] as const
  })
  return {
    ...(readPair(typed.place) ?? { lat: null, lon: null }),
    opens: typed.opens,
    closes: typed.closes,
    ...(Object.fromEntries(figures) as Pick<YardInput, Figure>),
  }
}

/** Errors by field: what the server would refuse, and a missing position. */
export function validateYard(typed: YardFormFields): FieldErrors {
  const pair = readPair(typed.place)
  const refused = faultsOfYard(toYardFields(typed)).map(({ field, code }) =>
    field in FIELDS
      ? [FIELDS[field as Figure], code === 'range_ends_first' ? t.tongueWrong : limitWords(field as Figure)]
      : ['closes', t.closesWrong],
  )
  return {
    ...Object.fromEntries(refused),
    place: pair === undefined ? en.dispatch.place.wrong : pair.lat === null && t.missing,
  }
}

/** The limits of a field as text, in the unit of the field. */
function limitWords(figure: Figure): string {
  const [least, most] = YARD_LIMITS[figure]
  return t.wrong(Math.ceil(least / unitOf(figure)), Math.floor(most / unitOf(figure)))
}
