import type { ComponentChildren } from 'preact'
import { keyOfButton } from '../buttonKeys'
import { buildPath, type Route } from '../router'
import type { Shortcut } from '../shortcuts'
import { unbroken } from './unbroken'

interface PrimaryButtonProps {
  label: string
  hint?: string
  to?: Route
  /** The id of the form it submits. */
  form?: string
  busy?: boolean
  /** What is still missing before the action can run; until then a press shows where. */
  missing?: string | undefined
  /** Its key at the desk. */
  shortcut?: Shortcut | undefined
  onPress?: () => void
}

/** The one main action of a screen, at full width. It leads `to` a screen, submits a `form`, or calls `onPress`. */
export function PrimaryButton({
  label,
  hint,
  to,
  form,
  busy,
  missing,
  shortcut,
  onPress,
}: PrimaryButtonProps) {
  const key = keyOfButton(shortcut, label)
  const inside = (
    <>
      <b>
        {label}
        {key && <> {key.cap}</>}
      </b>
      {(missing ?? hint) && <small>{unbroken(missing ?? hint)}</small>}
    </>
  )
  if (to)
    return (
      <a class="primary-button" href={buildPath(to)} {...key?.attribute}>
        {inside}
      </a>
    )
  return (
    <button
      class={missing ? 'primary-button incomplete' : 'primary-button'}
      type={form && !busy ? 'submit' : 'button'}
      form={form}
      aria-busy={busy ? 'true' : undefined}
      {...key?.attribute}
      onClick={busy ? undefined : (event) => isSecondTap(event) || onPress?.()}
    >
      {inside}
    </button>
  )
}

/** The second tap of a double tap, which gloves cause: by then the button may do the opposite, such as Stop after Start. */
function isSecondTap({ detail }: MouseEvent): boolean {
  return detail > 1
}

interface ButtonProps {
  label: ComponentChildren
  hint?: string | undefined
  to?: Route
  /** An address outside the app: a phone number, an email, a file. */
  href?: string
  /** It opens in a new tab. */
  newTab?: boolean
  wide?: boolean
  pressed?: boolean
  /** The link leads to what is shown already. */
  current?: boolean
  ariaLabel?: string
  /** Its key at the desk. */
  shortcut?: Shortcut | undefined
  onPress?: () => void
}

/** Any other action or link. */
export function Button({
  label,
  hint,
  to,
  href,
  newTab,
  wide,
  pressed,
  current,
  ariaLabel,
  shortcut,
  onPress,
}: ButtonProps) {
  const key = keyOfButton(shortcut, ariaLabel ?? (typeof label === 'string' ? label : ''))
  // With its key in it, what is seen is no longer the beginning of what is said: then the text itself says the rest.
  const rest =
    key && typeof label === 'string' && ariaLabel?.startsWith(label) && ariaLabel.slice(label.length)
  const shared = {
    class: wide ? 'button wide' : 'button',
    'aria-label': rest ? undefined : ariaLabel,
    ...key?.attribute,
    onClick: onPress,
  }
  const inside = (
    <>
      {label}
      {rest && <span class="visually-hidden">{rest}</span>}
      {key?.cap}
      {hint && <small>{unbroken(hint)}</small>}
    </>
  )
  const address = to ? buildPath(to) : href
  if (address === undefined)
    return (
      <button type="button" aria-pressed={pressed} {...shared}>
        {inside}
      </button>
    )
  const tab = newTab && { target: '_blank', rel: 'noopener' }
  return (
    <a href={address} aria-current={current ? 'true' : undefined} {...shared} {...tab}>
      {inside}
    </a>
  )
}

/** Buttons side by side, or one under the other where `stacked`. `lang`: of their words, where it is not the page's. */
export function ButtonRow(props: { stacked?: boolean; lang?: string; children: ComponentChildren }) {
  const { stacked, ...rest } = props
  return <div class={stacked ? 'button-row stacked' : 'button-row'} {...rest} />
}
