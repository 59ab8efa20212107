import { useRef } from 'preact/hooks'
import { keys as t } from '../../domain/words/keys'
import { useKeys } from '../keys'
import { type Shortcut, shortcutOf } from '../shortcuts'

/** The keys to press one after the other or together: "g j" is G J. */
export function KeyCaps({ keys }: { keys: string }) {
  return (
    <span class="key-caps">
      {(keys === ' ' ? [keys] : keys.split(/[ +]/)).map((key, at) => (
        <kbd key={at}>{capOf(key)}</kbd>
      ))}
    </span>
  )
}

/** A letter as it is printed on its key. */
const capOf = (key: string): string => t.names[key] ?? (key.length === 1 ? key.toUpperCase() : key)

interface Props {
  shortcut: Shortcut
  label: string
}

/** The key of the button it is in: pressing it presses the button. It is bound at the desk only. */
function ShortcutKey({ shortcut, label }: Props) {
  const cap = useRef<HTMLElement>(null)
  const { where, key } = shortcutOf(shortcut)
  const act = () => cap.current?.closest<HTMLElement>('a, button')?.click()
  // The button shows its key already.
  useKeys(where, [{ keys: key, label, listOnly: true, act }])
  return (
    <span ref={cap} aria-hidden="true">
      <kbd>{capOf(key)}</kbd>
    </span>
  )
}

/** The key of a button, for `buttonKeys`. */
export const buttonKey = (shortcut: Shortcut, label: string) => ({
  attribute: { 'aria-keyshortcuts': capOf(shortcutOf(shortcut).key) },
  cap: <ShortcutKey key="key" shortcut={shortcut} label={label} />,
})
