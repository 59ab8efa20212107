import { useEffect, useReducer } from 'preact/hooks'
import { keys as t } from '../../domain/words/keys'
import { KeyCaps } from '../components/KeyCaps'
import { type KeyBinding, keysOf, typedKeys } from '../keys'
import { openDialog } from './dialogs'
import { keyGroups } from './keyGroups'

/** The foot of the desk: what the keys do here, or how the sequence begun can go on. Those without room are left out. */
export function KeyLine() {
  useFocusChanges()
  const typed = typedKeys.value
  const groups = keyGroups()
  const all = groups.flatMap(({ bindings }) => bindings)
  const shown: [keys: string, binding: KeyBinding][] = typed
    ? all.flatMap((each) =>
        keysOf(each)
          .filter((keys) => keys.startsWith(`${typed} `))
          .map((keys): [string, KeyBinding] => [keys, each]),
      )
    : all.filter(({ listOnly }) => !listOnly).map((each) => [keysOf(each)[0] ?? '', each])
  return (
    <footer class="desk-keys">
      <ul aria-label={t.line}>
        {shown.map(([keys, { label }]) => (
          <li key={keys}>
            <KeyCaps keys={keys} /> {label}
          </li>
        ))}
      </ul>
      <button
        type="button"
        aria-keyshortcuts="?"
        onClick={() => {
          openDialog.value = 'keys'
        }}
      >
        <KeyCaps keys="?" /> {t.list}
      </button>
    </footer>
  )
}

/** Renders again when the focus moves: some keys work only in the list, or only outside it. */
function useFocusChanges(): void {
  const [, renderAgain] = useReducer((count: number, _: Event) => count + 1, 0)
  useEffect(() => {
    document.addEventListener('focusin', renderAgain)
    return () => document.removeEventListener('focusin', renderAgain)
  }, [])
}
