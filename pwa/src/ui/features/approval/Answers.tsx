import type { Approval } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words'
import { openQuestions, recentAnswers } from '../../../store/approvalRequests'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quote } from '../../../store/quotes'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'
import { Question } from './ApprovalRequests'

const t = en.today

/** On Today: what customers decided by link in the last two days, and what they asked. */
export function Answers() {
  const approvals = recentAnswers(useNow())
  const questions = openQuestions()
  if (!approvals.length && !questions.length) return null
  return (
    <Section title={t.answers} end={approvals.length + questions.length}>
      {approvals.length > 0 && (
        <List items={approvals} keyOf={({ id }) => id} empty="">
          {(approval) => <Answer approval={approval} />}
        </List>
      )}
      {questions.length > 0 && (
        <List items={questions} keyOf={({ id }) => id} empty="">
          {(question) => <Question question={question} />}
        </List>
      )}
    </Section>
  )
}

function Answer({ approval }: { approval: Approval }) {
  const row = quote(approval.quote_id)
  const customerRow = customer(job(row?.job_id ?? '')?.customer_id ?? '')
  const { money, moment } = format.value
  const accepted = approval.accepted_ids.length
  return (
    <ListItem
      to={{ at: 'quote', id: approval.quote_id }}
      title={t.approved(
        customerRow?.name || approval.decided_by_name,
        accepted,
        accepted + approval.declined_ids.length,
      )}
      value={approval.accepted_total_minor === null ? undefined : money(approval.accepted_total_minor)}
      details={row && t.cameAt(shownName(row), moment(approval.decided_at))}
    />
  )
}
