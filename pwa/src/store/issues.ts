import { computed } from '@preact/signals'
import { enqueue } from './queue/outbox'
import { allOf, byAge, byId } from './rows/selectors'

/** Open issues, oldest first. */
export const openIssues = computed(() =>
  allOf('issue')
    .filter((row) => row.state === 'open')
    .sort(byAge),
)

export const issue = (id: string) => byId('issue', id)

export async function settleIssue(id: string, choice: 'theirs' | 'ours'): Promise<void> {
  await enqueue('settle_issue', { id, choice })
}
