import type { Rig } from '../../../domain/contract'
import { faultsOfRig, RIG_LIMITS, type RigInput } from '../../../domain/dispatch/rigFaults'
import {
  figuresOfRig,
  figureText,
  groupsOf,
  limitsOf,
  readFigure,
  type TypedFigures,
  typedFigures,
  unitOf,
  unreadFigures,
} from '../../../domain/dispatch/rigFields'
import { readPair, typedPair } from '../../../domain/geo/places'
import type { Fault } from '../../../domain/validation/fieldFaults'
import { en } from '../../../domain/words/index'
import { rig as t } from '../../../domain/words/rig'
import { measureFormat } from '../../features/dispatch/stopText'
import type { FieldErrors } from '../../useForm'

/** A rig as text in the form. */
export interface RigFormFields {
  name: string
  driver: string
  crew: string
  payload_kg: string
  figures: TypedFigures
  tows: boolean
  strapsCross: boolean
  winch: boolean
  rampFull: boolean
  opens: string
  closes: string
  rests: BreakFormFields[]
  home: string
}

export interface BreakFormFields {
  opens: string
  closes: string
  minutes: string
}

export const NO_BREAK: BreakFormFields = { opens: '', closes: '', minutes: '' }

export const isGiven = ({ opens, closes, minutes }: BreakFormFields) =>
  Boolean(opens || closes || minutes.trim())

export function toRigFormFields(seen: Rig | null): RigFormFields {
  const rests = (seen?.breaks ?? []).map((rest) => ({ ...rest, minutes: String(rest.minutes) }))
  return {
    name: seen?.name ?? '',
    driver: seen?.driver_id ?? '',
    crew: String(seen?.crew ?? 1),
    payload_kg: figureText('payload_kg', figuresOfRig(seen).payload_kg ?? null, measureFormat()),
    figures: typedFigures(seen, measureFormat()),
    tows: seen === null || seen.trailer !== null,
    strapsCross: seen?.straps_cross ?? false,
    winch: seen?.winch ?? false,
    rampFull: seen?.ramp_full_width ?? false,
    opens: seen?.shift_opens ?? '07:00',
    closes: seen?.shift_closes ?? '17:00',
    rests: rests.length > 0 ? rests : [NO_BREAK],
    home: seen ? typedPair({ lat: seen.home_lat, lon: seen.home_lon }) : '',
  }
}

/** The rig as the command takes it. A number that cannot be parsed is left out; `validateRig` reports it. */
export function toRigFields(typed: RigFormFields, seen: Rig | null): RigInput {
  const payload = readFigure(
    'payload_kg',
    typed.payload_kg,
    measureFormat(),
    figuresOfRig(seen).payload_kg ?? null,
  )
  const home = readPair(typed.home) ?? { lat: null, lon: null }
  return {
    name: typed.name.trim(),
    driver_id: typed.driver || null,
    crew: wholeOf(typed.crew),
    payload_kg: payload?.whole ?? 0,
    payload_typed: payload?.typed ?? '',
    ...groupsOf(typed.figures, measureFormat(), seen, typed.tows),
    straps_cross: typed.strapsCross,
    winch: typed.winch,
    ramp_full_width: typed.rampFull,
    home_lat: home.lat,
    home_lon: home.lon,
    shift_opens: typed.opens,
    shift_closes: typed.closes,
    breaks: typed.rests.filter(isGiven).map((rest) => ({ ...rest, minutes: wholeOf(rest.minutes) })),
    active: seen?.active ?? true,
  }
}

/** Parses a whole number; NaN where it is none, which every limit rejects. */
const wholeOf = (text: string): number => (/^\d{1,4}$/u.test(text.trim()) ? Number(text) : Number.NaN)

/** Errors by field: what cannot be parsed, and what the server would refuse. */
export function validateRig(typed: RigFormFields): FieldErrors {
  const given = typed.rests.flatMap((rest, at) => (isGiven(rest) ? [at] : []))
  const refused = faultsOfRig(toRigFields(typed, null)).map((fault) => faultInForm(fault, given))
  return {
    ...Object.fromEntries(
      unreadFigures(typed.figures, measureFormat()).map((name) => [name, wordsOfFigure(name)]),
    ),
    ...Object.fromEntries(refused),
    home: readPair(typed.home) === undefined && en.dispatch.place.wrong,
  }
}

/** The form field and error text of a fault of the row. `given`: the indexes of the breaks that the row has. */
function faultInForm({ field, code }: Fault, given: readonly number[]): [string, string] {
  const rest = /^breaks\.(\d+)\./.exec(field)
  if (rest) return [`rest${given[Number(rest[1])]}`, code === 'break_ends_first' ? t.breakWrong : t.breakHalf]
  switch (field) {
    case 'name':
      return [field, code === 'too_long' ? en.app.tooLong : t.missingName]
    case 'crew':
      return [field, t.wrongCount(RIG_LIMITS.crew[1])]
    case 'payload_kg':
      return [field, t.missingPayload]
    case 'shift_opens':
    case 'shift_closes':
      return ['closes', t.shiftWrong]
    default:
      return [
        field.replace('.', '_'),
        code === 'ramp_too_short' ? t.rampShort : wordsOfFigure(field.replace('.', '_')),
      ]
  }
}

const wordsOfFigure = (name: string): string =>
  unitOf(name, 'us') ? t.wrong : t.wrongCount(limitsOf(name)[1])
