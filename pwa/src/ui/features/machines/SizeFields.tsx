import type { Machine } from '../../../domain/contract'
import { figureText, readFigure, seenFigure, typedBeside, unitOf } from '../../../domain/dispatch/rigFields'
import type { Measure } from '../../../domain/numbers/measures'
import { en } from '../../../domain/words'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { measureFormat, units } from '../dispatch/stopText'

const t = en.dispatch.size

/** Measures with their labels; the suffix of a name is its unit. */
const MEASURES = [
  ['mass_kg', t.mass],
  ['length_cm', t.length],
  ['width_cm', t.width],
  ['height_cm', t.height],
  ['wheelbase_cm', t.wheelbase],
  ['clearance_cm', t.clearance],
  ['tie_points', () => t.ties],
] as const
type MeasureField = (typeof MEASURES)[number][0]

type Size = Partial<Pick<Machine, MeasureField | Extract<keyof Machine, `${string}_typed`>>>

/** A machine's measures as typed, in the shop's units. */
export type SizeFormFields = Partial<Record<MeasureField, string>>

interface Props {
  /** The measures asked for, if not all. */
  names?: readonly MeasureField[]
  hint?: string
  size: SizeFormFields
  errors: Readonly<Record<string, string | undefined>>
  onSize: (size: SizeFormFields) => void
}

/** Size and weight of a machine in transport. */
export function SizeFields({ names, hint = t.hint, size, errors, onSize }: Props) {
  return (
    <Section title={t.title} hint={hint}>
      <div class="two-columns">
        {measuresIn(names).map(([name, words]) => (
          <TextField
            key={name}
            decimal
            label={words(unitOf(name, units()))}
            value={size[name] ?? ''}
            error={errors[name]}
            onValueChange={(value) => onSize({ ...size, [name]: value })}
          />
        ))}
      </div>
    </Section>
  )
}

const measuresIn = (names: readonly MeasureField[] | undefined) =>
  MEASURES.filter(([name]) => names?.includes(name) ?? true)

export function toSizeFormFields(row: Machine, names?: readonly MeasureField[]): SizeFormFields {
  return Object.fromEntries(
    measuresIn(names).map(([name]) => [name, figureText(name, seenIn(row, name), measureFormat())]),
  )
}

/** The measures whose text cannot be parsed. */
export const unreadSize = (size: SizeFormFields): string[] =>
  MEASURES.flatMap(([name]) =>
    readFigure(name, size[name] ?? '', measureFormat()) === undefined ? [name] : [],
  )

/** The error text of a measure; undefined for other fields. */
export function sizeError(field: string): string | undefined {
  if (field === 'tie_points') return t.wrongCount
  return MEASURES.some(([name]) => name === field) ? t.wrong : undefined
}

/** The measures as the command takes them; only those that were shown in the form. */
export function toSize(size: SizeFormFields, seen: Machine | null): Size {
  return Object.fromEntries(
    MEASURES.flatMap(([name]) => {
      const text = size[name]
      if (text === undefined) return []
      const figure = readFigure(name, text, measureFormat(), seen && seenIn(seen, name)) ?? null
      const whole = [name, figure?.whole ?? null] as const
      return name === 'tie_points' ? [whole] : [whole, [typedBeside(name), figure?.typed ?? ''] as const]
    }),
  )
}

/** A stored measure of a machine, with the text that was typed for it. */
const seenIn = (row: Machine, name: MeasureField): Measure | null =>
  seenFigure(row, name, Reflect.get(row, typedBeside(name)))
