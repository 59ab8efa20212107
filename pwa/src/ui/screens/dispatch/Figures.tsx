import type { Run, Stop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { Caution, Facts, Part } from '../../components/Part'
import { weightWords } from './about'

const its = en.dispatch.run

/** What is to be minded of the run as a whole, and what is left to the ratings, in the server's words. */
export function Margins({ run }: { run: Run }) {
  const cautions = run.cautions.filter(({ stop_id }) => stop_id === null)
  if (cautions.length + run.margins.length === 0) return null
  return (
    <Part title={its.cautions}>
      {cautions.map(({ code, words }, at) => (
        <Caution key={`${code}${at}`} words={words} />
      ))}
      {run.margins.length > 0 && (
        <>
          <h3>{its.margins}</h3>
          <Facts
            facts={run.margins.map(({ trip, leg, rating, left_kg, limit_kg }) => [
              its.margin(its.leg(trip + 1, leg), rating),
              left_kg < 0
                ? its.over(weightWords(-left_kg), weightWords(limit_kg))
                : its.left(weightWords(left_kg), weightWords(limit_kg)),
            ])}
          />
          <p class="hint">{its.entered}</p>
        </>
      )}
    </Part>
  )
}

/** The drawn deck of each leg, to scale, as it comes from the server. */
export function Decks({ run }: { run: Run; stops: readonly Stop[] }) {
  if (run.decks.length === 0) return null
  return (
    <Part title={its.deck}>
      {run.decks.map(({ trip, leg, svg, words }) => (
        <figure key={`${trip}-${leg}`} class="deck">
          <img src={`data:image/svg+xml,${encodeURIComponent(svg)}`} alt={words} />
          <figcaption>{en.app.joined([its.leg(trip + 1, leg), words])}</figcaption>
        </figure>
      ))}
    </Part>
  )
}
