import type { Machine } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { Field } from '../../components/Field'
import { Part } from '../../components/Part'
import { units } from '../dispatch/about'
import { readFigure, typedFigure, unitOf } from '../dispatch/rigFigures'

const its = en.dispatch.size

/** Measures with their words; a name says its unit by its ending. */
const MEASURES = [
  ['mass_kg', its.mass],
  ['length_cm', its.length],
  ['width_cm', its.width],
  ['height_cm', its.height],
  ['wheelbase_cm', its.wheelbase],
  ['clearance_cm', its.clearance],
  ['tie_points', () => its.ties],
] as const
type Measure = (typeof MEASURES)[number][0]

/** A machine's measures as typed, in the shop's own units. */
export type TypedSize = Partial<Record<Measure, string>>

interface Props {
  size: TypedSize
  wrong: Record<string, string | undefined>
  onSize: (size: TypedSize) => void
}

/** How large and heavy a machine is as it is carried. */
export function SizeFields({ size, wrong, onSize }: Props) {
  return (
    <Part title={its.title} hint={its.hint}>
      <div class="two">
        {MEASURES.map(([name, words]) => (
          <Field
            key={name}
            decimal
            label={words(unitOf(name, units()))}
            value={size[name] ?? ''}
            wrong={wrong[name]}
            onValue={(value) => onSize({ ...size, [name]: value })}
          />
        ))}
      </div>
    </Part>
  )
}

export function typedSize(row: Machine): TypedSize {
  return Object.fromEntries(MEASURES.map(([name]) => [name, typedFigure(name, row[name], units())]))
}

export function faultsOfSize(size: TypedSize): Record<string, string> {
  const wrong = MEASURES.filter(([name]) => readFigure(name, size[name] ?? '', units()) === undefined)
  return Object.fromEntries(wrong.map(([name]) => [name, name === 'tie_points' ? its.wrongCount : its.wrong]))
}

/** The measures as a command takes them; only those that were ever shown in the form. */
export function sizeOf(size: TypedSize): Partial<Record<Measure, number | null>> {
  return Object.fromEntries(
    MEASURES.flatMap(([name]) => {
      const typed = size[name]
      return typed === undefined ? [] : [[name, readFigure(name, typed, units()) ?? null]]
    }),
  )
}
