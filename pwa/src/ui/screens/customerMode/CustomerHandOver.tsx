import { hand } from '../../../domain/words/handover'
import { handOversOf, isJobStop, stop } from '../../../store/dispatch'
import { leaveCustomerMode } from '../../customerMode'
import {
  BLANK_HAND_OVER,
  type HandOverDraft,
  openFindings,
  stepsOf,
} from '../../features/dispatch/handOverDraft'
import { reader } from '../../reader'
import { navigate, type Route } from '../../router'
import { useDraft } from '../../useDraft'
import { OpenFindingsStep, SignatureStep, shopName } from './CustomerHandOverSteps'
import { ReturnPhone } from './ReturnPhone'

/** A hand-over in customer mode: the safety findings to read, then the signature. */
export function CustomerHandOver({ id }: { id: string }) {
  const t = reader.value.hand
  const row = stop(id)
  const draft = useDraft<HandOverDraft>(`hand:${id}`, BLANK_HAND_OVER)
  const { fields, update, discard } = draft
  const done = handOversOf(id).length > 0
  const readable = row !== undefined && isJobStop(row) && stepsOf(row.kind)[fields.step] === 'turn'

  function back(to: Route, end: () => void) {
    end()
    leaveCustomerMode()
    navigate(to, { replace: true })
  }
  if (done)
    return (
      <ReturnToShop
        outcome={t.signedOutcome}
        again={null}
        onReturn={() => back({ at: 'stop', id }, discard)}
      />
    )
  // The draft is no longer on this phone: the member starts again.
  if (!readable || fields.customerStep === 'unsigned')
    return (
      <ReturnToShop
        outcome={t.unsignedOutcome}
        again={readable ? { words: t.backToIt, press: () => update({ customerStep: 'open' }) } : null}
        onReturn={() => back({ at: 'stop-hand', id }, () => update({ customerStep: 'open' }))}
      />
    )
  const findings = openFindings(row)
  if (fields.customerStep === 'open' && findings.length > 0)
    return <OpenFindingsStep row={row} draft={draft} findings={findings} />
  return <SignatureStep row={row} draft={draft} />
}

type ReturnProps = Pick<Parameters<typeof ReturnPhone>[0], 'outcome' | 'again' | 'onReturn'>

const ReturnToShop = (props: ReturnProps) => (
  <ReturnPhone shop={shopName()} confirmLabel={hand.takeBackYes} {...props} />
)
