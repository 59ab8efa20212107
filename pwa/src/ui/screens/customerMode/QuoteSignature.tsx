import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Section } from '../../components/Section'
import { SignatureField } from '../../components/SignatureField'
import { depositText, TotalsTable } from '../../features/quotes/TotalsTable'
import { reader } from '../../reader'
import { format } from '../../shopFormat'
import { currentToast } from '../../toast'
import type { Draft } from '../../useDraft'
import type { CustomerQuote, QuoteAnswers } from './quoteAnswers'

interface Props {
  offer: CustomerQuote
  draft: Draft<QuoteAnswers>
  errors: { name?: string; ink?: string }
  busy: boolean
  onDecide: () => void
}

/** Name and signature below the answers; a no needs only a name. */
export function QuoteSignature({ offer, draft: { fields, update }, errors, busy, onDecide }: Props) {
  const t = reader.value.quote
  const { document, sums, yes, no, agreed } = offer
  const total = format.value.money(sums.total_minor)
  return (
    <Page
      variant="customer-mode"
      overline={t.title(document.shop)}
      title={t.signTitle}
      subtitle={t.recap(yes.length, no.length)}
      toast={currentToast.value}
      dock={
        <PrimaryButton
          label={yes.length ? t.agreeYes(total) : agreed.length ? t.agreeAgreed(total) : t.agreeNo}
          hint={depositText(sums)}
          form="sign"
          busy={busy}
        />
      }
    >
      <Form id="sign" errors={errors} onSubmit={onDecide}>
        <TextField
          label={t.name}
          value={fields.name}
          error={errors.name}
          autocapitalize="words"
          autocomplete="off"
          enterKey="done"
          onValueChange={(name) => update({ name })}
        />
        <Signature offer={offer} draft={{ fields, update }} error={errors.ink} />
        {yes.length + agreed.length > 0 && (
          <Section title={t.youPay}>
            <TotalsTable sums={sums} inclusive={document.prices_hold_tax} lines={document.lines} />
          </Section>
        )}
      </Form>
    </Page>
  )
}

interface SignatureProps {
  offer: CustomerQuote
  draft: Pick<Draft<QuoteAnswers>, 'fields' | 'update'>
  error: string | undefined
}

/** A yes is signed, unless the customer cannot draw. */
function Signature({ offer: { yes }, draft: { fields, update }, error }: SignatureProps) {
  const t = reader.value.quote
  const inked = yes.length > 0 && !fields.noInk
  const keys = (
    <>
      {yes.length > 0 && (
        <Button
          label={t.cannotDraw}
          pressed={fields.noInk}
          onPress={() => update({ noInk: !fields.noInk, strokes: [] })}
        />
      )}
      <Button label={t.backToLines} onPress={() => update({ step: 'lines' })} />
    </>
  )
  if (!inked) return <ButtonRow>{keys}</ButtonRow>
  return (
    <SignatureField
      label={t.inkLabel}
      hint={t.ink}
      clearLabel={t.clear}
      error={error}
      initial={fields.strokes}
      onChange={(strokes, box) => update({ strokes, box })}
      onClear={() => update({ strokes: [] })}
    >
      {keys}
    </SignatureField>
  )
}
