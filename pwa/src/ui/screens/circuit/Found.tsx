import type { Circuit } from '../../../domain/contract'
import { circuit as t } from '../../../domain/words/circuit'
import type { SeenObservation } from '../../../store/circuits'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { type Diagnosis, explanationText } from './diagnosis'
import { seenText } from './SeenList'

/** What explains everything that was seen, the heaviest first; or which observations contradict each other. */
export function Found({
  circuit: { wiring },
  diagnosis,
  seen,
}: {
  circuit: Circuit
  diagnosis: Diagnosis
  seen: readonly SeenObservation[]
}) {
  const { shown, found, most, advice, conflict, leftOut, enough } = diagnosis
  const rest = found.slice(shown.length)
  const texts = shown.map((each) => explanationText(wiring, each))
  return (
    <Section title={t.likely}>
      {conflict.length > 0 && (
        <>
          <p role="alert">{t.conflict(most)}</p>
          <List items={conflict.flatMap((place) => seen[place] ?? [])} keyOf={({ id }) => id} empty="">
            {({ observation }) => <ListItem title={seenText(wiring, observation)} />}
          </List>
        </>
      )}
      {shown.length > 0 && (
        <List
          items={shown.map((each, place) => ({ ...each, place }))}
          keyOf={({ place }) => `${place}`}
          empty=""
        >
          {({ place, weight }) => (
            <ListItem
              title={texts[place]}
              value={t.percent(weight)}
              {...(place === 0 && { details: t.mostLikely })}
            />
          )}
        </List>
      )}
      {enough && <p>{t.enough}</p>}
      {advice.alike.map((group) => (
        <p key={group.join()}>{t.alike(group.map((place) => texts[place] ?? ''))}</p>
      ))}
      {leftOut.length > 0 && <p>{t.leftOut(leftOut.length)}</p>}
      {shown.length > 0 && (
        <p class="hint">
          {rest.length > 0 &&
            `${t.others(
              rest.length,
              format.value.number(`${rest.length}`),
              rest.reduce((sum, { weight }) => sum + weight, 0),
            )}. `}
          {t.bound(most)}
        </p>
      )}
    </Section>
  )
}
