import type { Circuit, CircuitModel, Observation } from '../../../domain/contract'
import { resultText, circuit as t, testText } from '../../../domain/words/circuit'
import { recordObservation, type SeenObservation, withdrawObservation } from '../../../store/circuits'
import { Button, ButtonRow } from '../../components/Button'
import { List, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { showToast } from '../../toast'
import { controlsUsed, partName } from './diagnosis'

/** What was looked at and seen, in one line. */
export const seenText = (wiring: CircuitModel, seen: Observation): string =>
  `${testText(seen, partName(wiring, seen.part), controlsUsed(wiring, seen.check, seen.part))}: ${resultText(seen)}`

/** Everything observed on a circuit, the latest first; each can be withdrawn. */
export function SeenList({ circuit, seen }: { circuit: Circuit; seen: readonly SeenObservation[] }) {
  if (!seen.length) return null
  return (
    <Section title={t.seen} end={seen.length}>
      <List items={[...seen].reverse()} keyOf={({ id }) => id} empty="">
        {(row) => (
          <OpeningItem title={seenText(circuit.wiring, row.observation)}>
            <ButtonRow stacked>
              <Button wide label={t.mistake} onPress={() => void withdraw(row)} />
            </ButtonRow>
          </OpeningItem>
        )}
      </List>
    </Section>
  )
}

async function withdraw(row: SeenObservation): Promise<void> {
  await withdrawObservation(row)
  const { job_id, circuit_id, observation } = row
  showToast(t.withdrawn, () => recordObservation({ job_id, circuit_id, observation }))
}
