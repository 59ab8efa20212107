import { signal } from '@preact/signals'
import { SAVED_VIEWS } from '../../store/browser/preferences'
import { readStored, writeStored } from '../../store/browser/safeStorage'
import type { Arrangement } from './table'

export interface SavedView extends Arrangement {
  readonly name: string
}

type ByTable = Readonly<Record<string, readonly SavedView[]>>

/** The saved views of a member on this device, by table. They stay when the member signs out. */
export class SavedViews {
  private readonly key: string
  private readonly views: ReturnType<typeof signal<ByTable>>

  constructor(memberId: string) {
    this.key = `${SAVED_VIEWS}${memberId}`
    this.views = signal<ByTable>(parse(readStored(this.key)))
  }

  of(table: string): readonly SavedView[] {
    return this.views.value?.[table] ?? []
  }

  /** Saves a view in place of one of the same name. */
  save(table: string, view: SavedView): void {
    this.keep(table, [...this.of(table).filter(({ name }) => name !== view.name), view])
  }

  remove(table: string, name: string): void {
    this.keep(
      table,
      this.of(table).filter((view) => view.name !== name),
    )
  }

  private keep(table: string, views: readonly SavedView[]): void {
    this.views.value = { ...this.views.peek(), [table]: views }
    writeStored(this.key, JSON.stringify(this.views.peek()))
  }
}

/** What another build, or a person, left there that is no view is left out. */
function parse(text: string | null): ByTable {
  try {
    const found: unknown = JSON.parse(text ?? '{}')
    if (typeof found !== 'object' || found === null) return {}
    return Object.fromEntries(
      Object.entries(found).map(([table, views]) => [
        table,
        Array.isArray(views) ? views.filter(isView) : [],
      ]),
    )
  } catch {
    return {}
  }
}

function isView(found: unknown): found is SavedView {
  const view = found as Partial<SavedView> | null
  return (
    typeof view?.name === 'string' &&
    typeof view.view === 'string' &&
    typeof view.filter === 'string' &&
    typeof view.sort?.key === 'string' &&
    Array.isArray(view.columns)
  )
}

const known = new Map<string, SavedViews>()

export function savedViewsOf(memberId: string): SavedViews {
  const views = known.get(memberId) ?? new SavedViews(memberId)
  known.set(memberId, views)
  return views
}
