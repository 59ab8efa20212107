import type { ComponentChildren } from 'preact'
import { type Place, pathTo } from '../router'

interface SlabProps {
  words: string
  hint?: string
  to?: Place
  /** The id of the form it sends. */
  form?: string
  busy?: boolean
  /** What is still missing before it does what it says; until then it only shows where. */
  missing?: string | undefined
  onPress?: () => void
}

/** The main thing to do on a screen: as wide as the glass. It goes `to` a place, sends a `form`, or is pressed. */
export function Slab({ words, hint, to, form, busy, missing, onPress }: SlabProps) {
  const inside = (
    <>
      <b>{words}</b>
      {(missing ?? hint) && <small>{missing ?? hint}</small>}
    </>
  )
  if (to)
    return (
      <a class="slab" href={pathTo(to)}>
        {inside}
      </a>
    )
  return (
    <button
      class={missing ? 'slab hollow' : 'slab'}
      type={form && !busy ? 'submit' : 'button'}
      form={form}
      aria-busy={busy ? 'true' : undefined}
      onClick={busy ? undefined : (event) => isSecondTap(event) || onPress?.()}
    >
      {inside}
    </button>
  )
}

/** A glove taps twice: by then the same place may do the opposite, as Stop stands where Start was. */
function isSecondTap({ detail }: MouseEvent): boolean {
  return detail > 1
}

interface KeyProps {
  words: ComponentChildren
  hint?: string | undefined
  to?: Place
  /** An address outside the app: a telephone number, a letter, a file. */
  href?: string
  /** It opens beside the app instead of in its place. */
  opens?: boolean
  wide?: boolean
  pressed?: boolean
  label?: string
  onPress?: () => void
}

/** Everything else that is pressed. */
export function Key({ words, hint, to, href, opens, wide, pressed, label, onPress }: KeyProps) {
  const look = wide ? 'key wide' : 'key'
  const inside = (
    <>
      {words}
      {hint && <small>{hint}</small>}
    </>
  )
  const address = to ? pathTo(to) : href
  if (address !== undefined)
    return (
      <a
        class={look}
        href={address}
        aria-label={label}
        onClick={onPress}
        {...(opens && { target: '_blank', rel: 'noopener' })}
      >
        {inside}
      </a>
    )
  return (
    <button type="button" class={look} aria-pressed={pressed} aria-label={label} onClick={onPress}>
      {inside}
    </button>
  )
}

/** Keys side by side, or one under the other where they are `tall`. */
export function Keys({ tall, children }: { tall?: boolean; children: ComponentChildren }) {
  return <div class={tall ? 'keys tall' : 'keys'}>{children}</div>
}
