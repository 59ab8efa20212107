import type { Approval, Quote } from '../../../domain/contract'
import {
  type Change,
  compareOffers,
  type LineChange,
  type QuestionChange,
} from '../../../domain/quotes/changes'
import { dayIn } from '../../../domain/time'
import { signedBefore } from '../../../store/quotes'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { reader } from '../../reader'
import { format, zone } from '../../shopFormat'
import { defaultValidUntil, documentOf } from './quoteCalculation'

const words = () => reader.value.quote.changes

/** A revision against the quote that was signed before it. */
export interface RevisionChanges {
  approval: Approval
  changes: QuestionChange[]
}

const dayOf = ({ decided_at }: Approval) => format.value.day(dayIn(zone.value, Date.parse(decided_at)))

/** What a revision changes; null where no quote before it was signed. Its lines must be valid. */
export function changesOf(row: Quote): RevisionChanges | null {
  const signed = signedBefore(row)
  if (!signed) return null
  const { quote, approval } = signed
  const [before, after] = [quote, row].map((each) => documentOf(each, defaultValidUntil(each)).lines)
  const answers = { accepted: new Set(approval.accepted_ids), declined: new Set(approval.declined_ids) }
  return { approval, changes: compareOffers(before ?? [], after ?? [], answers) }
}

/** "Changed, was $90.00"; empty for what is the same. */
function changeText(change: Change, before: number | null, amount: number): string {
  if (change === 'same') return ''
  const t = words()
  if (before === null) return t.added
  if (change === 'changed' && before === amount) return t.samePrice
  const was = format.value.money(before)
  return change === 'removed' ? t.removed(was) : t.changed(was)
}

/** What the customer reads at a question: what changed of it, or the answer that it keeps. */
export function questionNote(
  { approval, changes }: RevisionChanges,
  key: string,
): { change?: string; kept?: string } {
  const found = changes.find(({ question, change }) => question.key === key && change !== 'removed')
  if (!found) return {}
  const t = words()
  const on = dayOf(approval)
  if (found.answer) return { kept: found.answer === 'yes' ? t.keptYes(on) : t.keptNo(on) }
  const said = [changeText(found.change, found.before, found.question.amount), ...partTexts(found)]
  return { change: said.filter(Boolean).join('. ') }
}

/** What changed of each line of a question of several. */
function partTexts({ change, lines }: QuestionChange): string[] {
  if (change !== 'changed' || lines.length < 2) return []
  return lines.filter((line) => line.change !== 'same').map(partText)
}

function partText({ change, line, before }: LineChange): string {
  const now = change === 'removed' ? '' : ` (${format.value.money(line.amount_minor)})`
  return `${line.words}: ${changeText(change, before, line.amount_minor).toLowerCase()}${now}`
}

/** What a revision with valid lines changes; nothing where no quote before it was signed. */
export function RevisionSection({ row }: { row: Quote }) {
  const changes = changesOf(row)
  return changes && <RevisionSummary changes={changes} />
}

/** Added, changed with both figures, taken out, and how many are the same. */
export function RevisionSummary({ changes: { approval, changes } }: { changes: RevisionChanges }) {
  const t = words()
  const same = changes.filter(({ change }) => change === 'same').length
  const on = dayOf(approval)
  return (
    <Section
      title={t.title}
      hint={same > 0 ? t.signedKept(approval.decided_by_name, on) : t.signed(approval.decided_by_name, on)}
    >
      <List
        items={changes.filter(({ change }) => change !== 'same')}
        keyOf={({ question }) => question.key}
        empty={t.same(same)}
      >
        {(each) => (
          <ListItem
            title={each.question.title}
            value={each.change === 'removed' ? '' : format.value.money(each.question.amount)}
            details={
              <>
                <b>{changeText(each.change, each.before, each.question.amount)}</b>
                {partTexts(each).map((text) => ` · ${text}`)}
              </>
            }
          />
        )}
      </List>
      {same > 0 && same < changes.length && <p class="hint">{t.same(same)}</p>}
    </Section>
  )
}
