import { EXAMPLE_LISTS } from '../../../domain/bench/exampleLists'
import { checkListForm as t } from '../../../domain/words/checks'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'

/** Lists to start from; each opens the form of a new list with its items. `jobId`: the job to go back to. */
export function ExampleLists({ jobId }: { jobId?: string }) {
  return (
    <Section title={t.example}>
      <ButtonRow stacked>
        {EXAMPLE_LISTS.map(({ name, items }, at) => (
          <Button
            key={name}
            wide
            label={t.exampleOf(name, items.length)}
            to={{ at: 'new-check-list', example: String(at + 1), ...(jobId && { jobId }) }}
          />
        ))}
      </ButtonRow>
    </Section>
  )
}
