import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { type Drawn, Ink } from './Ink'
import { Key, Keys } from './Press'

interface Props {
  label: string
  hint: string
  /** What the key that empties the glass says. */
  clear: string
  wrong: string | undefined
  kept: Drawn
  onDrawn: (strokes: Drawn, box: { width: number; height: number }) => void
  onWiped: () => void
  /** Keys beside the one that empties it. */
  children?: ComponentChildren
}

/** A glass to sign on, what is wrong with it, and the key that empties it. */
export function Signed({ label, hint, clear, wrong, kept, onDrawn, onWiped, children }: Props) {
  const [wipes, setWipes] = useState(0)
  return (
    <>
      {wrong && (
        <p class="wrong" role="alert">
          {wrong}
        </p>
      )}
      <Ink label={label} hint={hint} wipes={wipes} kept={kept} onDrawn={onDrawn} />
      <Keys>
        <Key
          words={clear}
          onPress={() => {
            setWipes(wipes + 1)
            onWiped()
          }}
        />
        {children}
      </Keys>
    </>
  )
}
