import type { ComponentChildren } from 'preact'

interface Props {
  label: ComponentChildren
  details?: ComponentChildren
  count: ComponentChildren
  lessLabel: string
  moreLabel: string
  onStep: (by: 1 | -1) => void
  /** More about it, below. */
  children?: ComponentChildren
}

/** Something with how many there are of it, and a large minus and plus. */
export function CountRow({ label, details, count, lessLabel, moreLabel, onStep, children }: Props) {
  return (
    <div class="count-row">
      <span>
        <b>{label}</b>
        {details && <small>{details}</small>}
      </span>
      <button type="button" class="button" aria-label={lessLabel} onClick={() => onStep(-1)}>
        −
      </button>
      <output>{count}</output>
      <button type="button" class="button" aria-label={moreLabel} onClick={() => onStep(1)}>
        +
      </button>
      {children && <div>{children}</div>}
    </div>
  )
}
