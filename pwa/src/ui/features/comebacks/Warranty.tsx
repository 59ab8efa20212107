import { shownName } from '../../../domain/provisionalMarks'
import { warranty as t } from '../../../domain/words/comebacks'
import { warrantyLines } from '../../../store/warranty'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { today } from '../../shopFormat'
import { warrantyText } from './warrantyText'

/** The billed lines of a machine that are still under warranty, and until when; nothing where there is none. */
export function Warranty({ machineId }: { machineId: string }) {
  const lines = warrantyLines(machineId, today())
  if (!lines.length) return null
  return (
    <Section title={t.title} end={lines.length} hint={t.hint}>
      <List items={lines} keyOf={({ line }) => line.id} empty="" most={5}>
        {(each) => (
          <ListItem
            to={{ at: 'invoice', id: each.invoice.id }}
            title={each.line.words}
            value={<Serial text={shownName(each.invoice)} />}
            details={warrantyText(each)}
          />
        )}
      </List>
    </Section>
  )
}
