import type { AcknowledgedHow, Finding } from '../../../domain/contract'
import { disclosedItem } from '../../../domain/jobs/safety'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { safetyItems } from '../../../domain/words/safetyItems'
import { customer } from '../../../store/customers'
import { acknowledgeFinding, finding, whyOpen } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution, DescriptionList } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { itemsLeft, itemText } from '../../features/safety/itemText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

const t = en.safety.form
const HOWS = (Object.keys(en.safety.hows) as AcknowledgedHow[]).map((value) => ({
  value,
  label: en.safety.hows[value],
}))

/** Records that the customer was told of a safety finding and wants it left. */
export function AcknowledgeFinding({ id }: { id: string }) {
  const row = finding(id)
  return row ? <AcknowledgementForm row={row} /> : <NotFound />
}

function AcknowledgementForm({ row }: { row: Finding }) {
  const jobRow = job(row.job_id)
  const name = (jobRow && customer(jobRow.customer_id)?.name) ?? ''
  const items = itemsLeft(row.id)
  const lost = items.map(({ protection_lost }) => protection_lost).join('\n')
  const form = useForm<{ lost: string; who: string; how: AcknowledgedHow | null; note: string }>({
    name: `acknowledge:${row.id}`,
    blank: { lost: lost || row.consequence, who: name, how: null, note: '' },
    check: ({ lost, who, how }) => ({
      lost: !lost.trim() && t.missingLost,
      who: !who.trim() && t.missingWho,
      how: !how && t.missingHow,
    }),
    save: ({ lost, who, how, note }) =>
      how &&
      acknowledgeFinding({
        finding_id: row.id,
        finding_words: row.words,
        protection_lost: lost.trim(),
        acknowledged_by_name: who.trim(),
        how,
        acknowledged_at: moment(Date.now()),
        note: note.trim(),
        items: items.map(disclosedItem),
      }),
    back: { at: 'job', id: row.job_id },
  })
  return (
    <FormPage form={form} overline={name} title={t.title} saveLabel={t.save}>
      <Caution text={t.caution} />
      {row.decided === 'open' && <p class="multiline">{t.declines}</p>}
      {whyOpen(row) === 'no_bypass' && <p class="multiline">{safetyItems.noBypass}</p>}
      <DescriptionList
        items={[
          [t.finding, row.words],
          [safetyItems.title, items.map(itemText).join(', ')],
        ]}
      />
      <TextField multiline label={t.lost} hint={t.lostHint} {...form.field('lost')} />
      <TextField label={t.who} {...form.field('who')} />
      <RadioGroup label={t.how} options={HOWS} {...form.field('how')} />
      <TextField multiline label={t.note} {...form.field('note')} />
    </FormPage>
  )
}
