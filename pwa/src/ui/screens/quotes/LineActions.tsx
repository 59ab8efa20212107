import type { Quote, QuoteLine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { putQuoteLine, removeQuoteLine } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import type { FormState } from '../../useForm'
import type { LineFormFields } from './lineFormFields'

const t = en.quote.line

/** Further lines for the same work, and the button to remove this one. */
export function LineActions({
  form,
  row,
  line,
}: {
  form: FormState<LineFormFields>
  row: Quote
  line: QuoteLine
}) {
  const { dropped: words, droppedUndo: undoWords } = en.quote.builder
  return (
    <ButtonRow stacked>
      {(line.kind === 'labor' || line.kind === 'part') &&
        (['labor', 'part'] as const).map((also) => (
          <Button
            key={also}
            wide
            label={t.alsoFor[also]}
            to={{
              at: 'quote-add',
              id: row.id,
              kind: also,
              workId: line.belongs_to_id ?? line.id,
              ...(line.finding_id && { findingId: line.finding_id }),
            }}
          />
        ))}
      <Button
        wide
        label={t.remove}
        onPress={() => void form.remove({ action: () => remove(line), text: words, undoLabel: undoWords })}
      />
    </ButtonRow>
  )
}

async function remove(line: QuoteLine) {
  await removeQuoteLine(line.id)
  const { id, created_at, changed_at, decided, ...whole } = line
  return () => putQuoteLine(whole)
}
