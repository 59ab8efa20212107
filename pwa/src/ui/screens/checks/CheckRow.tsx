import type { CheckedItem } from '../../../domain/bench/checks'
import type { Check } from '../../../domain/contract'
import { results, checks as t } from '../../../domain/words/checks'
import { makeFindingOf } from '../../../store/checks'
import { finding, removeFinding } from '../../../store/findings'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'

/** One item of a list on a job: a press brings it up again; what is bad or worn becomes a finding in one tap. */
export function CheckRow({ checked, onChoose }: { checked: CheckedItem; onChoose: () => void }) {
  const { item, check } = checked
  return (
    <div class="check-row">
      <ListItem
        title={item.words}
        details={check?.words}
        value={check && <CheckMark check={check} />}
        onPress={() => {
          onChoose()
          scrollTo(0, 0)
        }}
      />
      {check && check.result !== 'fine' && check.result !== 'not_looked' && (
        <ButtonRow>
          <FindingButton check={check} />
          <Button label={t.note} to={{ at: 'check', id: check.id }} />
        </ButtonRow>
      )}
    </div>
  )
}

/** The result by word and shape. */
export const CheckMark = ({ check }: { check: Check }) => (
  <span class={`check-result ${check.result}`}>{results[check.result]}</span>
)

/** Makes a finding of a check, or leads to the one that it became. */
export function FindingButton({ check }: { check: Check }) {
  const { save } = useSaveOnce()
  const made = check.finding_id === null ? undefined : finding(check.finding_id)
  if (made) return <Button label={t.showFinding} to={{ at: 'finding', id: made.id }} />
  const make = () => {
    let id = ''
    void save(
      async () => {
        id = await makeFindingOf(check)
      },
      () => showToast(t.madeFinding, () => removeFinding(id)),
    )
  }
  return <Button label={t.makeFinding} onPress={make} />
}
