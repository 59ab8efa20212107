import { en } from '../domain/words'
import { syncSummary } from '../store/queue/queue'
import { shopSession } from '../store/session/shopSession'
import { format } from './shopFormat'

const t = en.coming

/** Whether the open shop has not all of its records on this phone yet. */
export const isPartial = (): boolean => shopSession.value !== null && !syncSummary.value.complete

/** On every page of a new phone until it has all records: what is there, and what is still coming. */
export function StillComing() {
  const { fetched, total } = syncSummary.value
  if (!isPartial()) return null
  const number = (rows: number) => format.value.number(String(rows))
  return (
    <section class="card" aria-label={t.title}>
      <b>{t.title}</b>
      <p>{t.soFar(number(fetched), total === null ? null : number(total))}</p>
      <p>{t.hint}</p>
    </section>
  )
}
