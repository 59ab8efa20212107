import type { PartNeed } from '../../../domain/contract'
import { partMayBecome } from '../../../domain/states'
import { partStates, parts as t } from '../../../domain/words/parts'
import { movePartNeed, removePartNeed, searchesOf } from '../../../store/partNeeds'
import { places } from '../../../store/stock'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { navigate } from '../../router'
import { saveWithToast } from '../../toast'

const STATES = Object.keys(partStates) as PartNeed['state'][]

/** What else may become of a part. */
export function Moves({ row }: { row: PartNeed }) {
  const next = STATES.filter((state) => state !== 'fitted' && partMayBecome(row.state, state))
  const removable = (row.state === 'wanted' || row.state === 'cancelled') && !searchesOf(row.id).length
  const move = (state: PartNeed['state']) =>
    void saveWithToast(() => movePartNeed(row.id, state), t.moved(partStates[state]))
  const remove = async () => {
    if (await saveWithToast(() => removePartNeed(row.id), t.removed))
      navigate({ at: 'job-parts', id: row.job_id }, { replace: true })
  }
  return (
    <>
      <Section title={t.change}>
        <ButtonRow>
          {next.map((state) => (
            <Button key={state} label={moveWords(row.state, state)} onPress={() => move(state)} />
          ))}
        </ButtonRow>
      </Section>
      <ButtonRow stacked>
        {partMayBecome(row.state, 'fitted') && places().length > 0 && (
          <Button wide label={t.fromStock} to={{ at: 'fit-from-stock', id: row.id }} />
        )}
        {row.state !== 'fitted' && row.state !== 'sent_back' && (
          <Button wide label={t.edit} to={{ at: 'part-edit', id: row.id }} />
        )}
        <Button wide label={t.search.action} to={{ at: 'part-search', id: row.id }} />
        {removable && <Button wide label={t.remove} onPress={() => void remove()} />}
      </ButtonRow>
    </>
  )
}

const moveWords = (from: PartNeed['state'], to: PartNeed['state']): string =>
  from === 'fitted' && to === 'arrived' ? t.takenOff : t.moves[to]
