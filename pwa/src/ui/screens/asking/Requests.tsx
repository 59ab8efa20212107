import type { OwnerQuestion } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { noteAnswered, openQuestions, questionsOf, requestsOf } from '../../../store/asking'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { quote, quotesOf } from '../../../store/quotes'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { figures } from '../../shopFigures'
import { saving } from '../../telling'
import { useNow } from '../../ticking'
import { standingOf } from './standing'

const its = en.asking

/** What the owner was asked about a quote, and where each request stands. */
export function Requests({ quoteId }: { quoteId: string }) {
  const now = useNow()
  const requests = requestsOf(quoteId)
  return (
    <>
      <Questions questions={questionsOf(quoteId).filter(({ answered_at }) => answered_at === null)} />
      {requests.length > 0 && (
        <Part title={its.requests}>
          <Rows items={requests} keyOf={(link) => link.id} empty="">
            {(link) => (
              <Row
                to={{ at: 'request', id: link.id }}
                lead={[its.channel[link.channel], link.address].filter(Boolean).join(' · ')}
                also={standingOf(link, quote(quoteId), now)}
              />
            )}
          </Rows>
        </Part>
      )}
    </>
  )
}

/** The same for every quote of a job that lies before its owner. */
export function JobRequests({ jobId }: { jobId: string }) {
  return quotesOf(jobId)
    .filter(({ state }) => state === 'offered')
    .map(({ id }) => <Requests key={id} quoteId={id} />)
}

/** Every question of an owner that waits for a call. */
export function OpenQuestions() {
  return <Questions questions={openQuestions()} />
}

function Questions({ questions }: { questions: readonly OwnerQuestion[] }) {
  if (!questions.length) return null
  return (
    <Part title={its.questions}>
      <Rows items={questions} keyOf={({ id }) => id} empty="">
        {(question) => <Question question={question} />}
      </Rows>
    </Part>
  )
}

function Question({ question }: { question: OwnerQuestion }) {
  const owner = customer(job(quote(question.quote_id)?.job_id ?? '')?.customer_id ?? '')
  return (
    <>
      <Row
        to={{ at: 'quote', id: question.quote_id }}
        lead={its.question(question.name || owner?.name || '', question.words)}
        also={figures.value.moment(question.asked_at)}
      />
      <Keys>
        {owner?.phone && (
          <Key words={its.callOwner(owner.phone)} href={`tel:${owner.phone.replace(/[^\d+]/g, '')}`} />
        )}
        <Key words={its.called} onPress={() => void saving(() => noteAnswered(question.id), its.answered)} />
      </Keys>
    </>
  )
}
