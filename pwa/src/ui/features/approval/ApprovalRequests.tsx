import type { CustomerQuestion } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { markAnswered, questionsOf, requestsOf } from '../../../store/approvalRequests'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quote, quotesOf } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { useNow } from '../../useNow'
import { requestStatus } from './requestStatus'

const t = en.requests

/** The approval requests of a quote with their status. */
export function ApprovalRequests({ quoteId }: { quoteId: string }) {
  const now = useNow()
  const requests = requestsOf(quoteId)
  return (
    <>
      <Questions questions={questionsOf(quoteId).filter(({ answered_at }) => answered_at === null)} />
      {requests.length > 0 && (
        <Section title={t.requests}>
          <List items={requests} keyOf={(link) => link.id} empty="">
            {(link) => (
              <ListItem
                to={{ at: 'request', id: link.id }}
                title={[t.channel[link.channel], link.address].filter(Boolean).join(' · ')}
                details={requestStatus(link, quote(quoteId), now)}
              />
            )}
          </List>
        </Section>
      )}
    </>
  )
}

/** The approval requests of every offered quote of a job. */
export function JobRequests({ jobId }: { jobId: string }) {
  return quotesOf(jobId)
    .filter(({ state }) => state === 'offered')
    .map(({ id }) => <ApprovalRequests key={id} quoteId={id} />)
}

function Questions({ questions }: { questions: readonly CustomerQuestion[] }) {
  if (!questions.length) return null
  return (
    <Section title={t.questions}>
      <List items={questions} keyOf={({ id }) => id} empty="">
        {(question) => <Question question={question} />}
      </List>
    </Section>
  )
}

/** A question of a customer that waits for a call; opened, what answers it. */
export function Question({ question }: { question: CustomerQuestion }) {
  const customerRow = customer(job(quote(question.quote_id)?.job_id ?? '')?.customer_id ?? '')
  return (
    <OpeningItem
      title={t.question(question.name || customerRow?.name || '', question.words)}
      details={format.value.moment(question.asked_at)}
    >
      <ButtonRow>
        <Button label={en.job.showQuote} to={{ at: 'quote', id: question.quote_id }} />
        {customerRow?.phone && (
          <Button
            label={t.callCustomer(customerRow.phone)}
            href={`tel:${customerRow.phone.replace(/[^\d+]/g, '')}`}
          />
        )}
        <Button
          label={t.called}
          onPress={() => void saveWithToast(() => markAnswered(question.id), t.answered)}
        />
      </ButtonRow>
    </OpeningItem>
  )
}
