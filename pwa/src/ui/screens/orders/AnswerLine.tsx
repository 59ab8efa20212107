import type { LineAnswer, PartOrder, PartOrderLine } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import type { Day } from '../../../domain/time'
import { lineAnswers, answerForm as t } from '../../../domain/words/partOrders'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { answerLines, linesToCome, needOfLine } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { badAmount } from '../../badAmount'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { countText, jobOfNeed, lineDetails } from '../../features/orders/orderText'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { ArrivalsOfLine } from './ArrivalsOfLine'
import { readAmount } from './lineFields'

const ANSWERS: readonly LineAnswer[] = ['open', 'confirmed', 'back_ordered', 'no_longer_made', 'dropped']

interface Props {
  order: PartOrder
  line: PartOrderLine
}

/** A line of an order that was sent: what the supplier says, what came of it, what goes back. */
export function AnswerLine({ order, line }: Props) {
  const isOpen = linesToCome(order.id).some(({ id }) => id === line.id)
  const mayAnswer =
    permissions.value.has('order_parts') && order.state !== 'cancelled' && order.state !== 'closed'
  return (
    <ShopPage
      overline={shownName(order)}
      title={countText(line)}
      subtitle={lineDetails(line, true)}
      back={{ at: 'part-order', id: order.id }}
      dock={isOpen && <PrimaryButton label={t.arrival} to={{ at: 'part-arrival', id: line.id }} />}
    >
      <PriceWarning line={line} />
      <ForJob line={line} />
      <ArrivalsOfLine line={line} />
      {order.state !== 'draft' && (
        <ButtonRow stacked>
          <Button wide label={t.sendBack} to={{ at: 'new-part-return', lineId: line.id }} />
        </ButtonRow>
      )}
      {mayAnswer && <AnswerForm order={order} line={line} />}
    </ShopPage>
  )
}

/** What the customer agreed to for one, where the part costs the shop more than that. */
function PriceWarning({ line }: { line: PartOrderLine }) {
  const agreed = needOfLine(line)?.agreed_minor ?? null
  if (agreed === null || line.cost_minor === null || line.cost_minor <= agreed) return null
  return <p class="notice">{t.agreed(format.value.money(agreed))}</p>
}

/** The way to the parts of the job that it is for. */
function ForJob({ line }: { line: PartOrderLine }) {
  const need = needOfLine(line)
  return need ? (
    <ListItem
      title={`${t.job} ${jobOfNeed(need)}`}
      details={customer(job(need.job_id)?.customer_id ?? '')?.name}
      to={{ at: 'job-parts', id: need.job_id }}
    />
  ) : null
}

function AnswerForm({ order, line }: Props) {
  const seesCost = permissions.value.has('see_cost')
  const form = useForm<{ answer: LineAnswer; promised: string; cost: string }>({
    name: `part-order-answer:${line.id}`,
    blank: {
      answer: line.answer,
      promised: line.promised_on ?? '',
      cost: format.value.typedMoney(line.cost_minor),
    },
    check: ({ cost }) => ({ cost: readAmount(cost) === undefined && badAmount() }),
    save: ({ answer, promised, cost }) =>
      answerLines([line.id], {
        answer,
        promised_on: (promised || null) as Day | null,
        cost_minor: seesCost ? (readAmount(cost) ?? null) : null,
      }),
    back: { at: 'part-order', id: order.id },
  })
  const { field } = form
  return (
    <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
      <RadioGroup
        label={t.title}
        options={ANSWERS.map((value) => ({ value, label: lineAnswers[value] }))}
        {...field('answer')}
      />
      <TextField type="date" label={t.promised} {...field('promised')} />
      {seesCost && <TextField decimal label={t.cost} {...field('cost')} />}
      <ButtonRow stacked>
        <Button wide label={t.save} onPress={() => form.submit()} />
      </ButtonRow>
    </Form>
  )
}
