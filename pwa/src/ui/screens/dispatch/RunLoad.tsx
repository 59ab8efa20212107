import type { Run, Stop } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { Caution, DescriptionList, Section } from '../../components/Section'
import { weightText } from '../../features/dispatch/stopText'

const t = en.dispatch.run

/** Warnings about the load of a run and the margins to the ratings, as text from the server. */
export function LoadMargins({ run }: { run: Run }) {
  // What is in none of the figures below is said beside them too.
  const cautions = run.cautions.filter(({ code, stop_id }) => stop_id === null || code === 'size_unknown')
  if (cautions.length + run.margins.length === 0) return null
  return (
    <Section title={t.cautions}>
      {cautions.map(({ code, words }, at) => (
        <Caution key={`${code}${at}`} text={words} />
      ))}
      {run.margins.length > 0 && (
        <>
          <h3>{t.margins}</h3>
          <DescriptionList
            items={run.margins.map(({ trip, leg, words, left_kg, limit_kg }) => [
              t.margin(t.leg(trip + 1, leg), words),
              left_kg < 0
                ? t.over(weightText(-left_kg), weightText(limit_kg))
                : t.left(weightText(left_kg), weightText(limit_kg)),
            ])}
          />
          <p class="hint">{t.entered}</p>
        </>
      )}
    </Section>
  )
}

/** The deck drawing of each leg, to scale, made by the server. */
export function DeckDrawings({ run }: { run: Run; stops: readonly Stop[] }) {
  if (run.decks.length === 0) return null
  return (
    <Section title={t.deck}>
      {run.decks.map(({ trip, leg, svg, words }) => (
        <figure key={`${trip}-${leg}`} class="deck-view">
          <img src={`data:image/svg+xml,${encodeURIComponent(svg)}`} alt={words} />
          <figcaption>{en.app.joined([t.leg(trip + 1, leg), words])}</figcaption>
        </figure>
      ))}
    </Section>
  )
}
