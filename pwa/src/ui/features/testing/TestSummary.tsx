import type { Job } from '../../../domain/contract'
import { testing as t } from '../../../domain/words/testing'
import { testSummaryOf } from '../../../store/runTests'
import { DescriptionList, Section } from '../../components/Section'
import { summaryText } from './testText'

/** What was tested on a job and what was not, as the hand-back sheet says it. It blocks nothing. */
export function TestSummary({ job }: { job: Job }) {
  const { tested, failed, notTested } = summaryText(testSummaryOf(job))
  const text = (names: string[]) => names.join(', ')
  return (
    <Section title={t.summary.title}>
      <DescriptionList
        items={[
          [t.summary.tested, tested.length ? text(tested) : t.summary.nothing],
          [t.summary.failed, text(failed)],
          [t.summary.notTested, text(notTested)],
        ]}
      />
    </Section>
  )
}
