interface TotalLine {
  name: string
  amount: string
}

interface Props {
  lines: readonly TotalLine[]
  grandTotal: TotalLine
}

/** A column of amounts that ends with the grand total. */
export function Totals({ lines, grandTotal }: Props) {
  return (
    <dl class="totals">
      {lines.map((sum) => (
        <div key={sum.name}>
          <dt>{sum.name}</dt>
          <dd>{sum.amount}</dd>
        </div>
      ))}
      <div class="grand-total">
        <dt>{grandTotal.name}</dt>
        <dd>{grandTotal.amount}</dd>
      </div>
    </dl>
  )
}

interface RunningTotalProps {
  name: string
  amount: string
  /** Smaller sums below the total, such as by rank. */
  breakdown?: readonly string[]
}

/** The total that stays visible while the lines above it change; screen readers announce changes. */
export function RunningTotal({ name, amount, breakdown = [] }: RunningTotalProps) {
  return (
    <div class="running-total" role="status">
      <span>{name}</span>
      <strong>{amount}</strong>
      {breakdown.length > 0 && (
        <p>
          {breakdown.map((each) => (
            <span key={each}>{each}</span>
          ))}
        </p>
      )}
    </div>
  )
}
