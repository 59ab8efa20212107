import type { Limit, SheetEntry, SheetEntryKind } from '../../../domain/contract'
import { sheets as t } from '../../../domain/words/sheets'
import { entriesOf, limitsOf, sheet } from '../../../store/sheets'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Caution, Section } from '../../components/Section'
import {
  aboutText,
  entryDetails,
  entryTitle,
  entryValue,
  limitDetails,
  limitText,
} from '../../features/sheets/sheetText'
import { NotFound } from '../../NotFound'
import { buildPath } from '../../router'
import { ShopPage } from '../../ShopPage'

const ORDER: readonly SheetEntryKind[] = ['fastener', 'order', 'operation', 'service', 'note', 'lesson']
const ADDED = ['fastener', 'operation', 'service', 'order', 'note'] as const

/** What the shop knows of one kind of machine or engine: warnings first, then limits, then the rest. */
export function SheetView({ id }: { id: string }) {
  const row = sheet(id)
  if (!row) return <NotFound />
  const limits = limitsOf(id)
  const entries = entriesOf(id)
  return (
    <ShopPage
      overline={t.title}
      title={row.title}
      subtitle={aboutText(row)}
      back={{ at: 'sheets' }}
      dock={<PrimaryButton label={t.limit.add} to={{ at: 'sheet-limit', id }} />}
    >
      {entries
        .filter(({ kind }) => kind === 'warning')
        .map((entry) => (
          <a key={entry.id} href={buildPath({ at: 'sheet-entry', id: entry.id })}>
            <Caution text={entry.words} />
          </a>
        ))}
      {limits.length > 0 && <Limits rows={limits} />}
      {ORDER.map((kind) => (
        <Entries key={kind} kind={kind} rows={entries.filter((entry) => entry.kind === kind)} />
      ))}
      {row.notes && <p class="multiline">{row.notes}</p>}
      <ButtonRow stacked>
        {ADDED.map((kind) => (
          <Button key={kind} wide label={t.addEntry[kind]} to={{ at: 'sheet-add', id, kind }} />
        ))}
        <Button wide label={t.edit} to={{ at: 'sheet-edit', id }} />
      </ButtonRow>
    </ShopPage>
  )
}

function Limits({ rows }: { rows: readonly Limit[] }) {
  return (
    <Section title={t.limits} end={rows.length}>
      <List items={rows} keyOf={({ id }) => id} empty="">
        {(row) => (
          <ListItem
            title={row.what}
            value={limitText(row)}
            details={limitDetails(row)}
            to={{ at: 'limit', id: row.id }}
          />
        )}
      </List>
    </Section>
  )
}

function Entries({ kind, rows }: { kind: SheetEntryKind; rows: readonly SheetEntry[] }) {
  if (!rows.length) return null
  return (
    <Section title={t.entries[kind]} end={rows.length}>
      <List items={rows} keyOf={({ id }) => id} empty="">
        {(row) => (
          <ListItem
            title={entryTitle(row)}
            value={entryValue(row)}
            details={entryDetails(row)}
            to={{ at: 'sheet-entry', id: row.id }}
          />
        )}
      </List>
    </Section>
  )
}
