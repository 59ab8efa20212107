interface TotalLine {
  name: string
  amount: string
}

interface Props {
  lines: readonly TotalLine[]
  grandTotal: TotalLine
  /** What becomes of the grand total, such as what is due first. */
  after?: readonly TotalLine[]
}

/** A column of amounts that come to the grand total, and what becomes of it. */
export function Totals({ lines, grandTotal, after = [] }: Props) {
  const row = ({ name, amount }: TotalLine) => (
    <div key={name}>
      <dt>{name}</dt>
      <dd>{amount}</dd>
    </div>
  )
  return (
    <dl class="totals">
      {lines.map(row)}
      <div class="grand-total">
        <dt>{grandTotal.name}</dt>
        <dd>{grandTotal.amount}</dd>
      </div>
      {after.map(row)}
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
