import { useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { session } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { HoldButton } from '../../components/HoldButton'
import { Page } from '../../components/Page'
import { reader } from '../../reader'
import { currentToast } from '../../toast'

const t = en.quote.staff

interface Props {
  shop: string
  /** What was decided or signed. */
  outcome: string
  /** The label of the button that confirms the return. */
  confirmLabel: string
  /** The customer's way back to what they left open. */
  again: { words: string; press: () => void } | null
  onReturn: () => void
}

/**
 * Ends customer mode by a button that has to be held. Without a signal nobody can prove who they are, so this prevents
 * accidents and says that it is no lock. Input devices that cannot hold take two presses. What the member does is in
 * English, whatever the customer reads.
 */
export function ReturnPhone({ shop, outcome, confirmLabel, again, onReturn }: Props) {
  const [sure, setSure] = useState(false)
  return (
    <Page
      variant="customer-mode thanks"
      title={reader.value.quote.thanks}
      toast={currentToast.value}
      dock={
        sure ? (
          <>
            <p lang="en">{t.really}</p>
            <ButtonRow lang="en">
              <Button label={t.takeBackNo} onPress={() => setSure(false)} />
              <Button label={confirmLabel} onPress={onReturn} />
            </ButtonRow>
          </>
        ) : (
          <HoldButton
            label={t.takeBack}
            lang="en"
            hint={t.takeBackHint(session.value.member?.name ?? shop)}
            onHold={onReturn}
            onTap={() => setSure(true)}
          />
        )
      }
    >
      <p>{outcome}</p>
      <p>{reader.value.quote.giveBack(shop)}</p>
      <p class="hint" lang="en">
        {t.noLock}
      </p>
      {again && (
        <ButtonRow stacked>
          <Button wide label={again.words} onPress={again.press} />
        </ButtonRow>
      )}
    </Page>
  )
}
