import { FORMER_NAMES, type Issue } from '../../../domain/contract'
import { isKind } from '../../../domain/kinds'
import type { Moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { byId } from '../../../store/rows/selectors'
import { format } from '../../shopFormat'

/** The title of a command in the queue. */
export function commandTitle({ name }: { name: string }): string {
  const known: Readonly<Record<string, string>> = en.commands
  return known[FORMER_NAMES[name] ?? name] ?? en.unknownCommand
}

/** The name of the row that an issue is about. */
export function issueTitle(issue: Issue): string {
  return [commandTitle(issue), about(issue)].filter(Boolean).join(' · ')
}

function about({ entity_kind: kind, entity_id: id }: Issue): string {
  const row = isKind(kind) && id ? byId(kind, id) : undefined
  if (!row) return ''
  for (const field of ['name', 'number', 'mark', 'model', 'label', 'words'] as const) {
    const value = (row as unknown as Record<string, unknown>)[field]
    if (typeof value === 'string' && value) return value
  }
  return ''
}

/** Both values of each field that two people changed. */
export function answers(issue: Issue): { field: string; name: string; theirs: string; ours: string }[] {
  const fields = [...new Set([...Object.keys(issue.theirs), ...Object.keys(issue.ours)])]
  return fields.map((field) => ({
    field,
    name: en.fieldNames[field] ?? field,
    theirs: valueWords(issue.theirs[field]),
    ours: valueWords(issue.ours[field]),
  }))
}

/** The readable arguments of a held command, without ids. */
export function written(issue: Issue): [name: string, words: string][] {
  // An edit has its fields one level deeper, beside the values the person saw.
  const { set } = issue.ours
  return Object.entries(typeof set === 'object' && set !== null ? set : issue.ours)
    .filter(([field]) => en.fieldNames[field] && !field.endsWith('_id'))
    .map(([field, value]) => [en.fieldNames[field] ?? field, valueWords(value)])
}

/** Member, time and job of a held clock, as the server determined them; it knows refused jobs too. */
export function heldTime({ theirs }: Issue): [name: string, words: string][] {
  const { member, job, started_at, ended_at, seconds } = theirs as HeldTime
  if (!started_at) return []
  const t = en.issue.heldTime
  const shown = (at: string) => format.value.moment(at as Moment)
  return [
    [t.who, member ?? ''],
    [t.job, job ?? ''],
    [t.from, shown(started_at)],
    [t.until, ended_at ? shown(ended_at) : t.open],
    [t.long, seconds ? t.length(Math.floor(seconds / 3600), Math.floor((seconds % 3600) / 60)) : ''],
  ]
}

interface HeldTime {
  member?: string
  job?: string
  started_at?: string
  ended_at?: string
  seconds?: number
}

function valueWords(value: unknown): string {
  if (value === null || value === undefined || value === '') return en.issue.nothing
  if (typeof value === 'boolean') return value ? en.issue.yes : en.issue.no
  return typeof value === 'object' ? JSON.stringify(value, null, 1) : String(value)
}
