import { useState } from 'preact/hooks'
import type { Finding, Rank } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { offerAbout } from '../../../store/asking'
import { unsaidOf } from '../../../store/attachments'
import { customer } from '../../../store/customers'
import { editFinding, finding, job, recordFinding, removeFinding } from '../../../store/jobs'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Caution } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { KeptPictures, Pictures } from '../pictures/Pictures'
import { Sheet } from '../Sheet'

const its = en.finding
const RANKS = (Object.keys(en.ranks) as Rank[]).map((value) => ({
  value,
  words: en.ranks[value],
  hint: en.rankHints[value],
}))

export function NewFinding({ jobId }: { jobId: string }) {
  return <FindingForm jobId={jobId} seen={null} />
}

export function ChangeFinding({ id }: { id: string }) {
  const row = finding(id)
  const [seen] = useState(row)
  return row && seen ? <FindingForm jobId={row.job_id} seen={seen} /> : <Nowhere />
}

interface Typed {
  words: string
  consequence: string
  rank: Rank | null
}

function FindingForm({ jobId, seen }: { jobId: string; seen: Finding | null }) {
  const row = job(jobId)
  const asked = seen && offerAbout(seen)
  const form = `finding:${seen?.id ?? jobId}`
  const { fields, put, drop } = useDraft<Typed>(form, {
    words: seen?.words ?? '',
    consequence: seen?.consequence ?? '',
    rank: seen?.rank ?? null,
  })
  const [wrong, setWrong] = useState<{ words?: string; rank?: string }>({})
  const { busy, send } = useSend()
  const back = { at: 'job', id: jobId } as const
  const leave = () => {
    drop()
    goTo(back, { instead: true })
  }
  if (!row) return <Nowhere />

  function save() {
    const { words, consequence, rank } = fields
    if (!words.trim() || !rank)
      return setWrong({
        ...(!words.trim() && { words: its.missing }),
        ...(!rank && { rank: its.missingRank }),
      })
    const typed = { words, consequence, rank }
    if (seen) return void send(() => editFinding(seen, typed), leave)
    void send(() => recordFinding({ job_id: jobId, ...typed }, unsaidOf(form)), leave)
  }
  async function remove({ id, job_id, words, consequence, rank }: Finding) {
    if (!(await saving(() => removeFinding(id)))) return
    tell(its.removed, () => recordFinding({ job_id, words, consequence, rank }))
    leave()
  }
  return (
    <Sheet
      over={customer(row.customer_id)?.name ?? ''}
      title={seen ? its.editTitle : its.title}
      back={back}
      dock={<Slab words={its.save} form="finding" busy={busy} />}
    >
      {seen && <Pictures about_kind="finding" about_id={seen.id} />}
      <Form id="finding" wrong={wrong} onSend={save}>
        <Field
          area
          label={its.words}
          value={fields.words}
          wrong={wrong.words}
          onValue={(words) => put({ words })}
        />
        {!seen && <KeptPictures form={form} />}
        <Field
          area
          label={its.consequence}
          hint={its.consequenceHint}
          value={fields.consequence}
          onValue={(consequence) => put({ consequence })}
        />
        <Choice
          label={its.rank}
          value={fields.rank}
          options={RANKS}
          wrong={wrong.rank}
          onValue={(rank) => put({ rank })}
        />
        {fields.rank === 'safety' && <Caution words={its.safetyCaution} />}
        {seen && (
          <Keys tall>
            {asked ? (
              <Key wide words={en.asking.asked} to={{ at: 'quote', id: asked }} />
            ) : (
              <Key
                wide
                words={en.asking.more}
                hint={en.asking.moreHint}
                to={{ at: 'finding-ask', id: seen.id }}
              />
            )}
            <Key wide words={its.remove} onPress={() => void remove(seen)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}
