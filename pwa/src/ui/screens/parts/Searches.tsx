import type { PartNeed } from '../../../domain/contract'
import { parts } from '../../../domain/words/parts'
import { safetyItemsOf } from '../../../store/findings'
import { partNeed, recordPartSearch, searchesOf } from '../../../store/partNeeds'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'

const t = parts.search

/** Where a part was asked for: when, by whom, with what answer. */
export function Searches({ row }: { row: PartNeed }) {
  const found = searchesOf(row.id)
  if (!found.length) return null
  return (
    <Section title={t.heading} end={found.length}>
      <List items={found} keyOf={({ id }) => id} empty="">
        {({ asked, answer, alternative, asked_at, member_id }) => (
          <ListItem
            title={asked}
            details={
              <span class="multiline">
                {[
                  answer,
                  alternative && t.instead(alternative),
                  t.by(member_id ? memberName(member_id) : '', format.value.moment(asked_at)),
                ]
                  .filter(Boolean)
                  .join('\n')}
              </span>
            }
          />
        )}
      </List>
    </Section>
  )
}

/** Records where a part was asked for, and the answer. */
export function SearchForm({ id }: { id: string }) {
  const row = partNeed(id)
  return row ? <Form row={row} /> : <NotFound />
}

function Form({ row }: { row: PartNeed }) {
  const form = useForm({
    name: `part-search:${row.id}`,
    blank: { asked: '', answer: '', alternative: '' },
    check: ({ asked, answer }) => ({
      asked: !asked.trim() && t.missingAsked,
      answer: !answer.trim() && t.missingAnswer,
    }),
    save: ({ asked, answer, alternative }) =>
      recordPartSearch({
        need_id: row.id,
        asked: asked.trim(),
        answer: answer.trim(),
        alternative: alternative.trim(),
      }),
    back: { at: 'part', id: row.id },
  })
  const isSafety = row.finding_id !== null && safetyItemsOf(row.finding_id).some(({ repaired }) => !repaired)
  return (
    <FormPage form={form} overline={row.description} title={t.title} saveLabel={t.save}>
      {isSafety && <p class="hint">{t.evidence}</p>}
      <TextField label={t.asked} hint={t.askedHint} {...form.field('asked')} />
      <TextField multiline label={t.answer} hint={t.answerHint} {...form.field('answer')} />
      <TextField label={t.alternative} hint={t.alternativeHint} {...form.field('alternative')} />
    </FormPage>
  )
}
