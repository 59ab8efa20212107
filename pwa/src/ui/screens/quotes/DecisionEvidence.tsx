import type { Approval } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { signature } from '../../../store/quotes'
import { Caution, DescriptionList, Section } from '../../components/Section'
import { SignatureImage } from '../../components/SignatureCanvas'
import { format } from '../../shopFormat'

const t = en.quote.result

/** The evidence of a decision: who, how, when, and the signature. */
export function DecisionEvidence({ approval }: { approval: Approval }) {
  const { accepted_total_minor: total } = approval
  const ink = approval.signature_id ? signature(approval.signature_id) : undefined
  return (
    <Section title={t.decision}>
      {!approval.matches && <Caution text={t.mismatch} />}
      <DescriptionList
        items={[
          [t.agreed, total === null ? '' : format.value.money(total)],
          [t.who, approval.decided_by_name],
          [t.how, t.hows[approval.how]],
          [t.when, format.value.moment(approval.decided_at)],
          [t.number, approval.number_called],
          [t.conditions, approval.conditions],
          [t.said, approval.note],
        ]}
      />
      {ink && (
        <SignatureImage
          strokes={ink.strokes}
          width={ink.width}
          height={ink.height}
          label={t.signatureOf(ink.signer_name)}
        />
      )}
    </Section>
  )
}
