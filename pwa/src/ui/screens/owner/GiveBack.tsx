import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { session } from '../../../store/session'
import { HoldSlab } from '../../components/Hold'
import { Page } from '../../components/Page'
import { Key, Keys } from '../../components/Press'
import { telling } from '../../telling'

const its = en.quote.owner

interface Props {
  shop: string
  /** What came of it. */
  words: string
  /** What the member goes on with. */
  opens: string
  /** The owner's way back to what they left open. */
  again: { words: string; press: () => void } | null
  onBack: () => void
}

/**
 * The phone goes back to the shop by a key that has to be held. Without a signal nobody can prove who they are, so
 * this guards against a slip and says that it is no lock; what cannot hold a key takes two presses.
 */
export function GiveBack({ shop, words, opens, again, onBack }: Props) {
  const [sure, setSure] = useState(false)
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
              <Key words={opens} onPress={onBack} />
            </Keys>
          </>
        ) : (
          <HoldSlab
            words={its.takeBack}
            hint={its.takeBackHint(session.value.member?.name ?? shop)}
            onHeld={onBack}
            onTapped={() => setSure(true)}
          />
        )
      }
    >
      <p>{words}</p>
      <p>{its.giveBack(shop)}</p>
      <p class="hint">{its.noLock}</p>
      {again && (
        <Keys tall>
          <Key wide words={again.words} onPress={again.press} />
        </Keys>
      )}
    </Page>
  )
}
