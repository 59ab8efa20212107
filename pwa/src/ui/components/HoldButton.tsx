import { useEffect, useRef, useState } from 'preact/hooks'

/** Long enough that nobody does it by accident. */
const HOLD_MS = 1_500

interface Props {
  label: string
  hint: string
  /** The language of its words, where it is not the page's. */
  lang?: string
  onHold: () => void
  /** Called when it is activated by something that cannot hold, such as a switch or a screen reader. */
  onTap: () => void
}

/** A primary button that acts only when it is held: by finger, mouse or keyboard. */
export function HoldButton({ label, hint, lang, onHold, onTap }: Props) {
  const [holding, setHolding] = useState(false)
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined)
  const callback = useRef(onHold)
  callback.current = onHold
  useEffect(() => () => clearTimeout(timer.current), [])

  function begin() {
    clearTimeout(timer.current)
    setHolding(true)
    timer.current = setTimeout(() => callback.current(), HOLD_MS)
  }
  function end() {
    clearTimeout(timer.current)
    setHolding(false)
  }
  const isKey = (event: KeyboardEvent) => event.key === 'Enter' || event.key === ' '
  return (
    <button
      type="button"
      class="primary-button hold"
      lang={lang}
      data-holding={holding ? '' : undefined}
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
      onClick={(event) => event.detail === 0 && onTap()}
    >
      <b>{label}</b>
      <small>{hint}</small>
    </button>
  )
}
