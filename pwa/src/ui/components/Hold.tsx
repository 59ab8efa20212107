import { useEffect, useRef, useState } from 'preact/hooks'

/** Long enough that no slip of the hand does it. */
const HOLD_MS = 1_500

interface Props {
  words: string
  hint: string
  onHeld: () => void
  /** Pressed by something that cannot hold, such as a switch or a screen reader. */
  onTapped: () => void
}

/** A slab that does what it says only when it is held: by finger, mouse or key. */
export function HoldSlab({ words, hint, onHeld, onTapped }: Props) {
  const [held, setHeld] = useState(false)
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined)
  const done = useRef(onHeld)
  done.current = onHeld
  useEffect(() => () => clearTimeout(timer.current), [])

  function begin() {
    clearTimeout(timer.current)
    setHeld(true)
    timer.current = setTimeout(() => done.current(), HOLD_MS)
  }
  function end() {
    clearTimeout(timer.current)
    setHeld(false)
  }
  const isKey = (event: KeyboardEvent) => event.key === 'Enter' || event.key === ' '
  return (
    <button
      type="button"
      class="slab hold"
      data-held={held ? '' : undefined}
      onPointerDown={begin}
      onPointerUp={end}
      onPointerLeave={end}
      onPointerCancel={end}
      onBlur={end}
      onContextMenu={(event) => event.preventDefault()}
      onKeyDown={(event) => {
        if (!isKey(event)) return
        event.preventDefault()
        if (!event.repeat) begin()
      }}
      onKeyUp={(event) => isKey(event) && end()}
      onClick={(event) => event.detail === 0 && onTapped()}
    >
      <b>{words}</b>
      <small>{hint}</small>
    </button>
  )
}
