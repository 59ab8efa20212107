/** What other apps shared to this one and has no place yet; `sw/share.ts` keeps it. */
import { SHARED } from '../../domain/shared'
import { openJobs } from '../jobs'
import { allOf } from '../rows/selectors'
import { session } from '../session/session'
import { type AddPictureResult, addPicture } from './pictures'
import { openShared } from './sharedCache'

export interface SharedPicture {
  key: string
  file: File
}
export interface Shared {
  pictures: SharedPicture[]
  /** Texts, each with its key. */
  texts: { key: string; text: string }[]
}

/** Everything that waits for a place, in the order it was shared. */
export async function readShared(): Promise<Shared> {
  const found: Shared = { pictures: [], texts: [] }
  const cache = await openShared()
  for (const request of (await cache?.keys()) ?? []) {
    const kept = await cache?.match(request)
    if (!kept) continue
    const type = kept.headers.get('Content-Type') ?? ''
    if (type.startsWith('text/')) found.texts.push({ key: request.url, text: await kept.text() })
    else found.pictures.push({ key: request.url, file: await fileOf(kept, type) })
  }
  return found
}

/** Deletes what has a place now, or is not wanted. */
export async function dropShared(keys: readonly string[]): Promise<void> {
  const cache = await openShared()
  for (const key of keys) await cache?.delete(key)
}

/**
 * Adds shared pictures to a job, each deleted here only once the job has it; `caption` goes with the first. Stops at the
 * first that cannot be kept and returns why.
 */
export async function putIntoJob(
  job_id: string,
  pictures: readonly SharedPicture[],
  caption: string,
): Promise<AddPictureResult | null> {
  for (const [at, { key, file }] of pictures.entries()) {
    const added = await addPicture('job', job_id, file, at ? '' : caption)
    if (!added.done) return added
    await dropShared([key])
  }
  return null
}

/** The open jobs, those first that this person clocked last or took pictures for. */
export function jobsByLastUse() {
  const last = new Map<string, string>()
  const note = (job_id: string | null, at: string) => {
    if (job_id && at > (last.get(job_id) ?? '')) last.set(job_id, at)
  }
  const me = session.value.member?.id
  for (const row of allOf('time_entry')) if (row.member_id === me) note(row.job_id, row.started_at)
  for (const row of allOf('attachment')) if (row.about_kind === 'job') note(row.about_id, row.taken_at)
  const usedAt = ({ id }: { id: string }) => last.get(id) ?? ''
  return [...openJobs.value].sort((a, b) => (usedAt(a) < usedAt(b) ? 1 : usedAt(a) > usedAt(b) ? -1 : 0))
}

async function fileOf(kept: Response, type: string): Promise<File> {
  const name = decodeURIComponent(kept.headers.get(SHARED.name) ?? '')
  const lastModified = Number(kept.headers.get(SHARED.at)) || Date.now()
  return new File([await kept.blob()], name, { type, lastModified })
}
