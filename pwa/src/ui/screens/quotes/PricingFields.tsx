import type { LineKind, Quote } from '../../../domain/contract'
import { hasClocked } from '../../../store/timeEntries'
import { TypicalHours, usualHours } from '../../features/quotes/WorkName'
import type { FormState } from '../../useForm'
import { LineFields } from './LineFields'
import type { LineFormFields } from './lineFormFields'

interface Props {
  form: FormState<LineFormFields>
  row: Quote
  kind: LineKind
  machineKind: string
  unitPrice: number | null
}

/** The figures that a line needs. */
export function PricingFields({ form, row, kind, machineKind, unitPrice }: Props) {
  const { fields, update } = form
  const usual = usualHours(fields.operation, machineKind)
  return (
    <LineFields
      {...form}
      kind={kind}
      book={row.basis}
      unitPrice={unitPrice}
      update={(changed) =>
        update({
          ...changed,
          ...('hours' in changed && { byHand: true }),
          ...(changed.priced === 'book' && hasClocked(row.job_id, 'diagnosis') && { asked: 'agreed' }),
        })
      }
      underHours={
        <TypicalHours
          operation={fields.operation}
          machineKind={machineKind}
          taken={!fields.byHand && fields.hours === usual}
          onTake={(hours) => update({ hours, byHand: false })}
        />
      }
    />
  )
}

/** The fields of a named work, with its typical hours. */
export function workNamed(operation: string, machineKind: string) {
  const hours = usualHours(operation, machineKind)
  return { operation, ...(hours && { hours }) }
}
