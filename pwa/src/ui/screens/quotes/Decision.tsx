import type { Approval } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { signature } from '../../../store/quotes'
import { InkPicture } from '../../components/Ink'
import { Caution, Facts, Part } from '../../components/Part'
import { figures } from '../../shopFigures'

const its = en.quote.result

/** The evidence of a decision: who, how, when, and the ink. */
export function Decision({ approval }: { approval: Approval }) {
  const ink = approval.signature_id ? signature(approval.signature_id) : undefined
  return (
    <Part title={its.decision}>
      {!approval.matches && <Caution words={its.mismatch} />}
      <Facts
        facts={[
          [its.who, approval.decided_by_name],
          [its.how, its.hows[approval.how]],
          [its.when, figures.value.moment(approval.decided_at)],
          [its.number, approval.number_called],
          [its.conditions, approval.conditions],
          [its.said, approval.note],
        ]}
      />
      {ink && (
        <InkPicture
          strokes={ink.strokes}
          width={ink.width}
          height={ink.height}
          label={its.signatureOf(ink.signer_name)}
        />
      )}
    </Part>
  )
}
