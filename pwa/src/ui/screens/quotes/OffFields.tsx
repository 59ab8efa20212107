import type { LineKind } from '../../../domain/lines'
import { en } from '../../../domain/words'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import type { LineFaults, TypedLine } from './typedLine'

const its = en.quote.line

interface Props {
  kind: LineKind
  typed: TypedLine
  faults: LineFaults
  put: (changed: Partial<TypedLine>) => void
}

/** What is taken off: of the line, or, on a discount line, of the quote. */
export function OffFields({ kind, typed, faults, put }: Props) {
  const either = [
    { value: 'percent', words: its.offPercent },
    { value: 'amount', words: its.offAmount },
  ] as const
  return (
    <>
      <Choice
        across
        label={kind === 'discount' ? its.offQuote : its.off}
        value={typed.off}
        options={kind === 'discount' ? either : [{ value: 'none', words: its.offNone }, ...either]}
        onValue={(off) => put({ off })}
      />
      {typed.off === 'percent' && (
        <Field
          decimal
          label={its.percent}
          value={typed.offPercent}
          wrong={faults.offPercent}
          onValue={(offPercent) => put({ offPercent })}
        />
      )}
      {typed.off === 'amount' && (
        <Field
          decimal
          label={its.amount}
          value={typed.offAmount}
          wrong={faults.offAmount}
          onValue={(offAmount) => put({ offAmount })}
        />
      )}
    </>
  )
}
