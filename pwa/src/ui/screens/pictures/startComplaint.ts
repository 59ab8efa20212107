import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { draftOf, flushDrafts, keepDraft } from '../../../store/drafts'
import { job } from '../../../store/jobs'
import { buildPath } from '../../router'

/** Puts a text into the unsaved form of a complaint of this job, after what is there; stored when this resolves. */
export async function startComplaint(job_id: string, text: string): Promise<void> {
  const name = `complaint:${job_id}`
  const { words = '', ...rest } = (draftOf(name)?.fields ?? { happens_when: '' }) as { words?: string }
  keepDraft({
    name,
    fields: { ...rest, words: [words, text].filter(Boolean).join('\n') },
    path: buildPath({ at: 'job-complaint', id: job_id }),
    title: en.complaint.title,
    over: customer(job(job_id)?.customer_id ?? '')?.name ?? '',
    typed_at: Date.now(),
  })
  await flushDrafts()
}
