import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { agreed, hasDecided } from '../../../store/agreed'
import { quotesOf } from '../../../store/quotes'
import { Caution, Facts } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { figures } from '../../shopFigures'
import { useNow } from '../../ticking'
import { startQuote } from './JobQuotes'

const its = en.agreed

/** What the owner has agreed to; and as soon as the work goes beyond it, that, with the way to ask for more. */
export function Agreed({ job }: { job: Job }) {
  const now = useNow()
  const found = agreed(job.id, now)
  if (!found) return null
  const decided = hasDecided(job.id)
  const draft = quotesOf(job.id).find(({ state }) => state === 'draft')
  const { money } = figures.value
  return (
    <>
      {decided && <Facts facts={[[its.agreed, money(found.total)]]} />}
      {found.beyond > 0 && (
        <>
          <Caution words={decided ? its.beyond(money(found.beyond)) : its.nothingYet(money(found.beyond))} />
          <Keys tall>
            {draft ? (
              <Key wide words={its.goOn} to={{ at: 'quote', id: draft.id }} />
            ) : (
              <Key wide words={its.ask} onPress={() => void startQuote(job, decided ? 'added' : 'first')} />
            )}
          </Keys>
        </>
      )}
    </>
  )
}
