import { computed } from '@preact/signals'
import { enqueue } from './outbox'
import { all, byAge, one } from './shown'

/** What a person of the shop still has to settle, oldest first. */
export const openIssues = computed(() =>
  all('issue')
    .filter((row) => row.state === 'open')
    .sort(byAge),
)

export const issue = (id: string) => one('issue', id)

export async function settleIssue(id: string, choice: 'theirs' | 'ours'): Promise<void> {
  await enqueue('settle_issue', { id, choice })
}
