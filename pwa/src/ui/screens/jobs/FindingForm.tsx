import type { Finding, FindingRank } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import {
  acknowledgementsOf,
  editFinding,
  finding,
  recordFinding,
  removeFinding,
} from '../../../store/findings'
import { job } from '../../../store/jobs'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { DraftPictures, Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { FindingActions } from './FindingActions'

const t = en.finding
const RANKS = (Object.keys(en.ranks) as FindingRank[]).map((value) => ({
  value,
  label: en.ranks[value],
  hint: en.rankHints[value],
}))

export function NewFinding({ id: jobId }: { id: string }) {
  return <FindingForm jobId={jobId} seen={null} />
}

export function ChangeFinding({ id }: { id: string }) {
  const row = finding(id)
  const seen = useOriginal(`finding:${id}`, row)
  return row && seen ? <FindingForm jobId={row.job_id} seen={seen} /> : <NotFound />
}

function FindingForm({ jobId, seen }: { jobId: string; seen: Finding | null }) {
  const row = job(jobId)
  const name = `finding:${seen?.id ?? jobId}`
  const form = useForm<Pick<Finding, 'words' | 'consequence'> & { rank: FindingRank | null }>({
    name,
    blank: {
      words: seen?.words ?? '',
      consequence: seen?.consequence ?? '',
      rank: seen?.rank ?? null,
    },
    check: ({ words, rank }) => ({ words: !words.trim() && t.missing, rank: !rank && t.missingRank }),
    save: ({ words, consequence, rank }) => {
      if (!rank) return null
      const typed = { words, consequence, rank }
      return seen
        ? editFinding(seen, typed)
        : recordFinding({ job_id: jobId, ...typed }, formPicturesOf(name))
    },
    back: { at: 'job', id: jobId },
  })
  const { field } = form
  if (!row) return <NotFound />
  return (
    <FormPage
      form={form}
      overline={customer(row.customer_id)?.name ?? ''}
      title={seen ? t.editTitle : t.title}
      saveLabel={t.save}
      before={seen && <Pictures about_kind="finding" about_id={seen.id} />}
    >
      <TextField multiline label={t.words} {...field('words')} />
      {!seen && <DraftPictures form={name} />}
      <TextField multiline label={t.consequence} hint={t.consequenceHint} {...field('consequence')} />
      <RadioGroup label={t.rank} options={RANKS} {...field('rank')} />
      {form.fields.rank === 'safety' && <Caution text={t.safetyCaution} />}
      {seen && <Acknowledgements id={seen.id} />}
      {seen && (
        <FindingActions
          row={seen}
          onRemove={() => void form.remove({ action: () => remove(seen), text: t.removed })}
        />
      )}
    </FormPage>
  )
}

/** What the customer was told of a safety finding, and said: evidence that nobody changes. */
function Acknowledgements({ id }: { id: string }) {
  const found = acknowledgementsOf(id)
  if (!found.length) return null
  return (
    <Section title={en.safety.known}>
      <List items={found} keyOf={(each) => each.id} empty="">
        {({ finding_words, protection_lost, acknowledged_by_name, how, acknowledged_at, note }) => (
          <ListItem
            title={finding_words}
            details={
              <span class="multiline">
                {[
                  protection_lost,
                  en.safety.told(
                    acknowledged_by_name,
                    en.safety.hows[how],
                    format.value.moment(acknowledged_at),
                  ),
                  note,
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

async function remove({ id, job_id, words, consequence, rank }: Finding) {
  await removeFinding(id)
  return () => recordFinding({ job_id, words, consequence, rank })
}
