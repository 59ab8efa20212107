import type { Machine, Sheet } from '../../../domain/contract'
import type { SheetMatch } from '../../../domain/machines/sheetMatching'
import { sheets as t } from '../../../domain/words/sheets'
import { sheetsFor } from '../../../store/sheets'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { aboutText } from './sheetText'

/** A sheet in a list. */
export function SheetRow({ sheet, value, note }: { sheet: Sheet; value?: string; note?: string | false }) {
  const details = [aboutText(sheet), note].filter(Boolean).join('\n')
  return (
    <ListItem
      title={sheet.title}
      value={value}
      details={<span class="multiline">{details}</span>}
      to={{ at: 'sheet', id: sheet.id }}
    />
  )
}

/** The sheets about a machine, then those about its relatives, marked as such. */
export function SheetsOfMachine({ machine }: { machine: Machine }) {
  const found = sheetsFor(machine)
  const own = found.filter(({ fit }) => fit === 'own')
  const related = found.filter(({ fit }) => fit !== 'own')
  return (
    <>
      {!own.length && (
        <List items={[]} keyOf={String} empty={t.known.none}>
          {() => null}
        </List>
      )}
      {own.length > 0 && <Matches title={t.known.own} items={own} />}
      {related.length > 0 && <Matches title={t.known.related} items={related} />}
    </>
  )
}

function Matches({ title, items }: { title: string; items: readonly SheetMatch<Sheet>[] }) {
  return (
    <Section title={title} end={items.length}>
      <List items={items} keyOf={({ sheet }) => sheet.id} empty="">
        {({ sheet, fit, serialUnknown }) => (
          <SheetRow
            sheet={sheet}
            value={t.known.fits[fit]}
            note={serialUnknown && t.anySerial(t.serials(sheet.serial_from, sheet.serial_to))}
          />
        )}
      </List>
    </Section>
  )
}
