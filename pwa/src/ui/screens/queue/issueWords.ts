import { BELONGS, type Issue, type Kind } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { one } from '../../../store/shown'

/** What a command did, in the words of the queue. */
export function commandTitle({ name }: { name: string }): string {
  return en.commands[name] ?? en.unknownCommand
}

/** What an issue is about, by the name people use for it. */
export function issueTitle(issue: Issue): string {
  return [commandTitle(issue), about(issue)].filter(Boolean).join(' · ')
}

function about({ entity_kind: kind, entity_id: id }: Issue): string {
  const row = kind in BELONGS && id ? one(kind as Kind, id) : undefined
  if (!row) return ''
  for (const field of ['name', 'number', 'mark', 'model', 'label', 'words'] as const) {
    const value = (row as unknown as Record<string, unknown>)[field]
    if (typeof value === 'string' && value) return value
  }
  return ''
}

/** Both answers to each field two people changed. */
export function answers(issue: Issue): { field: string; name: string; theirs: string; ours: string }[] {
  const fields = [...new Set([...Object.keys(issue.theirs), ...Object.keys(issue.ours)])]
  return fields.map((field) => ({
    field,
    name: en.fieldNames[field] ?? field,
    theirs: valueWords(issue.theirs[field]),
    ours: valueWords(issue.ours[field]),
  }))
}

/** What a held command carries for people to read; the ids it refers by say nothing to them. */
export function written(issue: Issue): [name: string, words: string][] {
  // An edit carries its fields one step in, beside what the person saw before.
  const { set } = issue.ours
  return Object.entries(typeof set === 'object' && set !== null ? set : issue.ours)
    .filter(([field]) => en.fieldNames[field] && !field.endsWith('_id'))
    .map(([field, value]) => [en.fieldNames[field] ?? field, valueWords(value)])
}

function valueWords(value: unknown): string {
  if (value === null || value === undefined || value === '') return en.issue.nothing
  if (typeof value === 'boolean') return value ? en.issue.yes : en.issue.no
  return typeof value === 'object' ? JSON.stringify(value, null, 1) : String(value)
}
