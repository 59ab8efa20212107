import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { agreed, hasDecided } from '../../../store/agreed'
import { quotesOf } from '../../../store/quotes'
import { Button, ButtonRow } from '../../components/Button'
import { Caution } from '../../components/Section'
import { format } from '../../shopFormat'
import { useNow } from '../../useNow'
import { startQuote } from './JobQuotes'

const t = en.agreed

/** A warning with a link once the work goes beyond what the customer has agreed to. */
export function AgreedTotal({ job }: { job: Job }) {
  const now = useNow()
  const found = agreed(job.id, now)
  if (!found) return null
  const decided = hasDecided(job.id)
  const draft = quotesOf(job.id).find(({ state }) => state === 'draft')
  const { money } = format.value
  return (
    <>
      {found.beyond > 0 && (
        <>
          <Caution text={decided ? t.beyond(money(found.over)) : t.nothingYet(money(found.beyond))} />
          <ButtonRow stacked>
            {draft ? (
              <Button wide label={t.goOn} to={{ at: 'quote', id: draft.id }} />
            ) : (
              <Button wide label={t.ask} onPress={() => void startQuote(job, decided ? 'added' : 'first')} />
            )}
          </ButtonRow>
        </>
      )}
    </>
  )
}
