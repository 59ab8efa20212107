import { useSignal } from '@preact/signals'
import { useEffect, useMemo, useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { deskSearch as t } from '../../../domain/words/keys'
import { everythingIndexed, searchEverything } from '../../../store/search/everything'
import { KeyCaps } from '../../components/KeyCaps'
import { navigate } from '../../router'
import { isPartial } from '../../StillComing'
import { closeDialog, useModal } from '../dialogs'
import { focusOpenItem } from '../focusItem'
import { actsHere } from './acts'
import { HitLines } from './HitLines'
import { actHits, type Hit, type HitGroup, rowHits } from './hits'
import { lastSearches, rememberSearch } from './lastSearches'

/** Begins the ids of the last searches, which are searched again. */
const LAST = 'last-'

/** One search over everything on this computer and over what can be done, moved by arrows, opened by Enter. */
export function DeskSearch() {
  const dialog = useModal()
  const { text, asked, groups, hits, current, type, choose, onKeyDown } = useSearch()
  return (
    <dialog ref={dialog} class="desk-search" aria-label={en.find.title}>
      <label class="search-box">
        <span class="visually-hidden">{t.label}</span>
        <input
          type="text"
          role="combobox"
          aria-expanded={hits.length > 0}
          aria-controls="search-hits"
          aria-autocomplete="list"
          aria-activedescendant={current && `hit-${current.id}`}
          placeholder={t.label}
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          value={text}
          onInput={({ currentTarget }) => type(currentTarget.value)}
          onKeyDown={onKeyDown}
        />
        <KeyCaps keys="Escape" />
      </label>
      <p class="visually-hidden" role="status">
        {asked && en.find.found(hits.length)}
      </p>
      <div id="search-hits" role="listbox" aria-label={en.find.title}>
        {groups.map((group) => (
          <HitLines key={group.kind} group={group} asked={asked} current={current} choose={choose} />
        ))}
      </div>
      {asked && hits.length === 0 && (
        <p class="none">{isPartial() ? en.coming.notYet(asked) : en.find.none(asked)}</p>
      )}
      <p class="hint">{t.hint}</p>
    </dialog>
  )
}

/** What is typed, what it finds, and the line that Enter opens. */
function useSearch() {
  const query = useSignal('')
  const at = useSignal(0)
  const [acts] = useState(actsHere)
  // So that the first letter is as fast as the others.
  useEffect(() => {
    const timer = setTimeout(() => everythingIndexed.value)
    return () => clearTimeout(timer)
  }, [])
  const asked = query.value.trim()
  const groups = useMemo(() => groupsFor(asked, acts), [asked, acts])
  const hits = groups.flatMap((group) => group.hits)
  const place = Math.min(at.value, hits.length - 1)
  const current = hits[place]

  function type(text: string) {
    query.value = text
    at.value = 0
  }
  function choose(hit: Hit | undefined, event: KeyboardEvent | MouseEvent) {
    if (!hit) return
    if (hit.id.startsWith(LAST)) return type(hit.title)
    rememberSearch(asked)
    closeDialog()
    // After the dialog has given the focus back: what is opened takes it.
    requestAnimationFrame(() => open(hit, event))
  }
  function onKeyDown(event: KeyboardEvent) {
    const by = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0
    if (event.isComposing || (by === 0 && event.key !== 'Enter')) return
    event.preventDefault()
    if (by === 0) choose(current, event)
    else if (current) at.value = (place + by + hits.length) % hits.length
  }
  return { text: query.value, asked, groups, hits, current, type, choose, onKeyDown }
}

function open(hit: Hit, event: KeyboardEvent | MouseEvent): void {
  // Pressed with the pointer there is no key; no act asks for one.
  hit.act?.(event as KeyboardEvent)
  if (!hit.to) return
  if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
  navigate(hit.to)
  focusOpenItem()
}

function groupsFor(asked: string, acts: Parameters<typeof actHits>[0]): HitGroup[] {
  if (asked) {
    const found = searchEverything(asked)
    return [...rowHits(found, asked), ...actHits(acts, found, asked)]
  }
  const hits = lastSearches().map((text) => ({ id: LAST + text, title: text }))
  return hits.length > 0 ? [{ kind: 'last', hits, more: 0 }] : []
}
