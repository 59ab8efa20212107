import type { CircuitTest, RatedTest } from '../../../domain/bench/diagnosis/nextTest'
import type { Circuit } from '../../../domain/contract'
import { circuit as t, testText } from '../../../domain/words/circuit'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { controlsUsed, type Diagnosis, partName } from './diagnosis'

/** The test to do next, how long it takes and why; or that none tells more. */
export function NextTest({
  circuit: { wiring },
  test,
  rated,
  diagnosis,
}: {
  circuit: Circuit
  test: CircuitTest | undefined
  rated: RatedTest | undefined
  diagnosis: Diagnosis | null
}) {
  if (diagnosis?.conflict.length) return null
  const used = t.time(diagnosis?.spent ?? 0, wiring.minutes)
  return (
    <Section title={t.next} hint={used}>
      {test ? (
        <ListItem
          title={testText(test, partName(wiring, test.part), controlsUsed(wiring, test.check, test.part))}
          value={t.nextMinutes(test.minutes)}
          details={[
            t.checkHints[test.check],
            test.tries > 1 && t.severalTries(test.tries),
            rated && t.why(test.expected, rated.chance, test.check),
          ]
            .filter(Boolean)
            .join('. ')}
        />
      ) : (
        <p>{diagnosis?.advice.tooLong ? t.noTime : t.noTest}</p>
      )}
    </Section>
  )
}
