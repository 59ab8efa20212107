import { showSize } from '../../../domain/bench/fastenerSize'
import type { RemovalStep } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { fastenersOf } from '../../../store/teardown'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { stepName } from './stepName'

/** What is off so far, the last step first. */
export function StepList({ steps }: { steps: readonly RemovalStep[] }) {
  if (!steps.length) return null
  const numbered = steps.map((step, at) => ({ step, number: at + 1 })).toReversed()
  return (
    <Section title={t.sofar} end={steps.length}>
      <List items={numbered} keyOf={({ step }) => step.id} empty="" most={12}>
        {({ step, number }) => (
          <ListItem
            to={{ at: 'removal-step', id: step.id }}
            title={`${number}. ${stepName(step, number)}`}
            value={step.back_at ? t.back : step.loosened ? t.loosened : t.off}
            details={stepDetails(step)}
          />
        )}
      </List>
    </Section>
  )
}

/** The fasteners and the bag of a step in one line. */
export const stepDetails = (step: RemovalStep): string =>
  [
    ...fastenersOf(step.id).map((row) => `${row.count} × ${showSize(row)}`),
    step.bag ? t.bagNumber(step.bag) : '',
  ]
    .filter(Boolean)
    .join(' · ')
