import { useState } from 'preact/hooks'
import type { Finding, Stop } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { isJobStop } from '../../../store/dispatch'
import { handOver } from '../../../store/dispatchCommands'
import { shop } from '../../../store/shop'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { Page } from '../../components/Page'
import { Caution } from '../../components/Section'
import { SignatureField } from '../../components/SignatureField'
import { type HandOverDraft, handedOver } from '../../features/dispatch/handOverDraft'
import { Recap } from '../../features/dispatch/ReviewStep'
import { aboutStop } from '../../features/dispatch/stopText'
import { machineName } from '../../names'
import { reader } from '../../reader'
import { currentToast } from '../../toast'
import type { Draft } from '../../useDraft'
import { useSaveOnce } from '../../useSaveOnce'

export const shopName = () => shop.value?.name ?? ''

interface CustomerStepProps {
  row: Stop
  draft: Draft<HandOverDraft>
}

/** Each safety finding, with a checkbox by which the customer says that they read it. */
export function OpenFindingsStep({
  row,
  draft: { fields, update },
  findings,
}: CustomerStepProps & { findings: readonly Finding[] }) {
  const t = reader.value.hand
  const [errors, setErrors] = useState<Record<string, string | undefined>>({})

  function next() {
    const unread = findings.find(({ id }) => !fields.heard.includes(id))
    setErrors(unread ? { [unread.id]: t.missingHeard } : {})
    if (unread) return
    update({ customerStep: 'sign' })
    scrollTo(0, 0)
  }
  return (
    <Page
      variant="customer-mode"
      overline={en.app.joined([shopName(), machineName(aboutStop(row).machine)])}
      title={t.open}
      subtitle={t.openHint}
      toast={currentToast.value}
      dock={<PrimaryButton label={t.next} form="open" />}
    >
      <Caution text={t.openCaution} />
      <Form id="open" errors={errors} onSubmit={next}>
        {findings.map(({ id, words, consequence }) => (
          <CheckboxGroup
            key={id}
            label={[words, consequence].filter(Boolean).join(' — ')}
            error={errors[id]}
            values={fields.heard.filter((each) => each === id)}
            options={[{ value: id, label: t.heard }]}
            onValuesChange={(heard) =>
              update({ heard: [...fields.heard.filter((each) => each !== id), ...heard] })
            }
          />
        ))}
      </Form>
      <DeclineToSign update={update} />
    </Page>
  )
}

/** The recap of the hand-over with name and signature. */
export function SignatureStep({ row, draft: { fields, update } }: CustomerStepProps) {
  const t = reader.value.hand
  const [errors, setErrors] = useState<{ name?: string; ink?: string }>({})
  const { busy, save } = useSaveOnce()

  function sign() {
    const found = {
      ...(!fields.name.trim() && { name: t.missingName }),
      ...(fields.strokes.length === 0 && { ink: t.missingInk }),
    }
    setErrors(found)
    if (Object.keys(found).length > 0) return
    void save(
      () => handOver(handedOver(row, { ...fields, nobody: false })),
      () => scrollTo(0, 0),
      t.saved,
    )
  }
  return (
    <Page
      variant="customer-mode"
      overline={en.app.joined([shopName(), machineName(aboutStop(row).machine)])}
      title={t.sign}
      subtitle={<b>{t.signHint[isJobStop(row) ? row.kind : 'visit']}</b>}
      toast={currentToast.value}
      dock={<PrimaryButton label={t.signIt} form="sign" busy={busy} />}
    >
      <Recap row={row} fields={fields} />
      <Form id="sign" errors={errors} onSubmit={sign}>
        <TextField
          label={t.name}
          value={fields.name}
          error={errors.name}
          autocapitalize="words"
          enterKey="done"
          onValueChange={(name) => update({ name })}
        />
        <SignatureField
          label={t.inkLabel}
          hint={t.ink}
          clearLabel={t.clear}
          error={errors.ink}
          initial={fields.strokes}
          onChange={(strokes, box) => update({ strokes, box })}
          onClear={() => update({ strokes: [] })}
        />
      </Form>
      <DeclineToSign update={update} />
    </Page>
  )
}

/** The customer does not have to sign. */
function DeclineToSign({ update }: Pick<Draft<HandOverDraft>, 'update'>) {
  return (
    <ButtonRow stacked>
      <Button
        wide
        label={reader.value.hand.leave}
        onPress={() => update({ customerStep: 'unsigned', strokes: [] })}
      />
    </ButtonRow>
  )
}
