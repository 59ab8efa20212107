import type { Command, WorkCaution } from '../domain/contract'
import { moment } from '../domain/time'
import { newId } from './browser/clock'
import { enqueueAll } from './queue/outbox'
import { ownedBy } from './rows/selectors'
import { session } from './session/session'

/** Which of these cautions the signed-in member has not read on a job. */
export function unreadCautions(job_id: string, codes: readonly WorkCaution[]): WorkCaution[] {
  const me = session.value.member?.id
  const read = new Set(
    ownedBy('caution_seen', 'job_id', job_id).flatMap((row) => (row.member_id === me ? [row.code] : [])),
  )
  return codes.filter((code) => !read.has(code))
}

/** Keeps that the member has read these cautions on a job, all at once. */
export async function acknowledgeCautions(job_id: string, codes: readonly WorkCaution[]): Promise<void> {
  const seen_at = moment(Date.now())
  await enqueueAll(
    codes.map(
      (code): Command => ({
        name: 'acknowledge_caution',
        args: { id: newId(), job_id, code, seen_at },
      }),
    ),
  )
}
