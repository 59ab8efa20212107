import { useState } from 'preact/hooks'
import { keys as t } from '../../domain/words/keys'
import { singleKeys } from '../../store/browser/preferences'
import { KeyCaps } from '../components/KeyCaps'
import { type KeyPlace, keysOf } from '../keys'
import { closeDialog, useModal } from './dialogs'
import { keyGroups } from './keyGroups'

const PLACES = Object.keys(t.places) as KeyPlace[]

/** Every key that works just now, from what works everywhere to what is most particular. */
export function KeyList() {
  const dialog = useModal()
  const [groups] = useState(() =>
    keyGroups().sort((a, b) => PLACES.indexOf(a.where) - PLACES.indexOf(b.where)),
  )
  return (
    <dialog ref={dialog} class="key-list" aria-labelledby="key-list">
      <header>
        <h2 id="key-list">{t.list}</h2>
        <button type="button" class="button" onClick={closeDialog}>
          {t.close} <KeyCaps keys="Escape" />
        </button>
      </header>
      {singleKeys.value === 'off' && <p>{t.off}</p>}
      <div class="key-groups">
        {groups.map(({ where, bindings }) => (
          <section key={where} aria-label={t.places[where]}>
            <h3>{t.places[where]}</h3>
            <dl>
              {bindings.map((binding) => (
                <div key={keysOf(binding)[0]}>
                  <dt>
                    {keysOf(binding).map((keys, at) => (
                      <span key={keys}>
                        {at > 0 && ` ${t.or} `}
                        <KeyCaps keys={keys} />
                      </span>
                    ))}
                  </dt>
                  <dd>{binding.label}</dd>
                </div>
              ))}
            </dl>
          </section>
        ))}
      </div>
    </dialog>
  )
}
