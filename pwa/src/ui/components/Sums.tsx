interface Sum {
  name: string
  amount: string
}

interface Props {
  sums: readonly Sum[]
  grand: Sum
}

/** Amounts under each other, the last one the one that counts. */
export function Sums({ sums, grand }: Props) {
  return (
    <dl class="sums">
      {sums.map((sum) => (
        <div key={sum.name}>
          <dt>{sum.name}</dt>
          <dd>{sum.amount}</dd>
        </div>
      ))}
      <div class="grand">
        <dt>{grand.name}</dt>
        <dd>{grand.amount}</dd>
      </div>
    </dl>
  )
}

interface TallyProps {
  name: string
  amount: string
  /** Smaller sums under the big one, such as by rank. */
  by?: readonly string[]
}

/** The sum that stays in sight while the lines above it change; read aloud as it does. */
export function Tally({ name, amount, by = [] }: TallyProps) {
  return (
    <div class="tally" role="status">
      <span>{name}</span>
      <strong>{amount}</strong>
      {by.length > 0 && (
        <p>
          {by.map((each) => (
            <span key={each}>{each}</span>
          ))}
        </p>
      )}
    </div>
  )
}
