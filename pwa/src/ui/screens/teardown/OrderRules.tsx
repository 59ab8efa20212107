import type { PutBackOrder } from '../../../domain/bench/putBack'
import type { PutBackRule } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { addPutBackRule, knownRulesOf, putBackRulesOf, removePutBackRule } from '../../../store/teardown'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { saveWithToast, showToast } from '../../toast'
import { reasonText } from './orderText'
import { nameOfStep } from './stepName'

/** The rules of a job about the order, each with the button that deletes it. */
export function OrderRules({ jobId }: { jobId: string }) {
  const rules = putBackRulesOf(jobId)
  return (
    <Section title={t.rules}>
      {rules.length > 0 && (
        <List items={rules} keyOf={({ id }) => id} empty="">
          {(rule) => (
            <OpeningItem title={ruleLine(rule)} details={rule.reason}>
              <Button wide label={t.deleteRule} onPress={() => void remove(rule)} />
            </OpeningItem>
          )}
        </List>
      )}
      {knownRulesOf(jobId).map(({ entry_id, before_id, after_id, reason }) => (
        <Button
          key={entry_id}
          wide
          label={t.takeKnown(nameOfStep(before_id), nameOfStep(after_id))}
          hint={reason || t.fromSheet}
          onPress={() => void take({ job_id: jobId, before_id, after_id, reason })}
        />
      ))}
      <ButtonRow>
        <Button label={t.rule} to={{ at: 'job-put-back-rule', id: jobId }} />
      </ButtonRow>
    </Section>
  )
}

const ruleLine = ({ before_id, after_id }: PutBackRule) =>
  t.ruleLine(nameOfStep(before_id), nameOfStep(after_id))

type NewRule = Pick<PutBackRule, 'job_id' | 'before_id' | 'after_id' | 'reason'>

async function take(rule: NewRule) {
  let id = ''
  const add = async () => {
    id = await addPutBackRule(rule)
  }
  if (await saveWithToast(add, t.ruleSaved)) showToast(t.ruleSaved, () => removePutBackRule(id))
}

async function remove({ id, job_id, before_id, after_id, reason }: PutBackRule) {
  if (await saveWithToast(() => removePutBackRule(id), t.ruleDeleted))
    showToast(t.ruleDeleted, () => addPutBackRule({ job_id, before_id, after_id, reason }))
}

/** The shortest circle of rules that contradict each other; the job's own can be deleted here. */
export function OrderCircle({ order, jobId }: { order: PutBackOrder; jobId: string }) {
  if (!order.circle.length) return null
  const rules = putBackRulesOf(jobId)
  return (
    <Section title={t.circle} hint={t.circleHint}>
      <List items={order.circle} keyOf={({ id }) => id} empty="">
        {({ id, after_id, reason }) => {
          const own = rules.find((rule) => rule.before_id === id && rule.after_id === after_id)
          return (
            <>
              <ListItem
                title={t.ruleLine(nameOfStep(id), nameOfStep(after_id))}
                details={reasonText(id, after_id, reason)}
              />
              {own && <Button wide label={t.deleteRule} onPress={() => void remove(own)} />}
            </>
          )
        }}
      </List>
    </Section>
  )
}
