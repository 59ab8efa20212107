import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { session } from '../../../store/session'
import { Page } from '../../components/Page'
import { Key, Keys, Slab } from '../../components/Press'
import type { Draft } from '../../draft'
import { takeBack } from '../../handed'
import { goTo } from '../../router'
import { figures } from '../../shopFigures'
import { telling } from '../../telling'
import type { Owned, OwnedQuote } from './owned'

const its = en.quote.owner

/** The phone goes back to the shop, by two deliberate steps of the member. */
export function GiveBack({ offer, draft }: { offer: OwnedQuote; draft: Draft<Owned> }) {
  const [sure, setSure] = useState(false)
  const { row, document, sums, yes } = offer
  const undecided = draft.fields.step === 'undecided'
  const words = undecided
    ? its.given
    : yes.length
      ? its.thanksYes(figures.value.money(sums.total_minor))
      : its.thanksNo

  function back() {
    draft.drop()
    takeBack()
    goTo(undecided ? { at: 'quote', id: row.id } : { at: 'job', id: row.job_id }, { instead: true })
  }
  return (
    <Page
      kind="owner thanks"
      title={its.thanks}
      queue={null}
      told={telling.value}
      dock={
        sure ? (
          <>
            <p>{its.really}</p>
            <Keys>
              <Key words={its.takeBackNo} onPress={() => setSure(false)} />
              <Key words={its.takeBackYes} onPress={back} />
            </Keys>
          </>
        ) : (
          <Slab
            words={its.takeBack}
            hint={its.takeBackHint(session.value.member?.name ?? document.shop)}
            onPress={() => setSure(true)}
          />
        )
      }
    >
      <p>{words}</p>
      <p>{its.giveBack(document.shop)}</p>
      {undecided && (
        <Keys tall>
          <Key wide words={its.backToLines} onPress={() => draft.put({ step: 'lines' })} />
        </Keys>
      )}
    </Page>
  )
}
