import { useState } from 'preact/hooks'
import type { Stop } from '../../../domain/contract'
import { readingAnomaly } from '../../../domain/dispatch/runs'
import { en } from '../../../domain/words'
import { hand as t } from '../../../domain/words/handover'
import { isJobStop, type JobStop, stop } from '../../../store/dispatch'
import { handOver } from '../../../store/dispatchCommands'
import { lastMeter } from '../../../store/machines'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Form } from '../../components/Form'
import { enterCustomerMode } from '../../customerMode'
import {
  BLANK_HAND_OVER,
  type HandOverDraft,
  handedOver,
  type Step,
  type StepProps,
  stepsOf,
} from '../../features/dispatch/handOverDraft'
import { ReviewStep } from '../../features/dispatch/ReviewStep'
import { aboutStop } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { useDraft } from '../../useDraft'
import { useSaveOnce } from '../../useSaveOnce'
import { AsLeftStep, BelongingsStep, MadeSafeStep, MeterStep } from './HandOverSteps'
import { ConditionStep, PicturesStep } from './InspectionSteps'

/** A hand-over at a stop: one step a screen, then the phone is handed to the customer. */
export function HandOver({ id }: { id: string }) {
  const row = stop(id)
  return row && isJobStop(row) ? <HandOverInProgress row={row} /> : <NotFound />
}

function HandOverInProgress({ row }: { row: JobStop }) {
  const draft = useDraft<HandOverDraft>(`hand:${row.id}`, BLANK_HAND_OVER)
  const { fields, update, discard } = draft
  const [errors, setErrors] = useState<StepProps['errors']>({})
  const { busy, save } = useSaveOnce()
  const steps = stepsOf(row.kind)
  const step = steps[fields.step] ?? 'turn'
  const { machine, name } = aboutStop(row)

  function goOn() {
    const found = validateStep(step, row, fields)
    setErrors(found)
    if (Object.values(found).some(Boolean)) {
      if (step === 'meter') update({ asked: fields.hours })
      return
    }
    if (step === 'turn') return fields.nobody ? finish() : enterCustomerMode('stop', row.id)
    update({ step: fields.step + 1 })
    scrollTo(0, 0)
  }

  function finish() {
    void save(
      () => handOver(handedOver(row, fields)),
      () => {
        discard()
        navigate({ at: 'stop', id: row.id }, { replace: true })
      },
      t.saved,
    )
  }
  return (
    <ShopPage
      key={step}
      overline={en.app.joined([t.titles[row.kind], t.step(fields.step + 1, steps.length)])}
      title={titleOf(step)}
      subtitle={en.app.joined([name, machineName(machine)])}
      back={{ at: 'stop', id: row.id }}
      dock={
        <>
          {fields.step > 0 && (
            <ButtonRow>
              <Button label={t.before} onPress={() => update({ step: fields.step - 1 })} />
            </ButtonRow>
          )}
          {step === 'turn' && !fields.nobody ? (
            <PrimaryButton label={t.give} hint={t.giveHint(name)} form="hand" busy={busy} />
          ) : (
            <PrimaryButton label={step === 'turn' ? t.save : t.next} form="hand" busy={busy} />
          )}
        </>
      }
    >
      <Form id="hand" errors={errors} onSubmit={goOn}>
        <StepFields step={step} row={row} draft={draft} errors={errors} />
      </Form>
    </ShopPage>
  )
}

function StepFields({ step, ...props }: StepProps & { step: Step }) {
  return (
    <>
      {step === 'pictures' && <PicturesStep {...props} />}
      {step === 'condition' && <ConditionStep {...props} />}
      {step === 'meter' && <MeterStep {...props} />}
      {step === 'keeps' && <BelongingsStep {...props} />}
      {step === 'safe' && <MadeSafeStep {...props} />}
      {step === 'left' && <AsLeftStep {...props} />}
      {step === 'turn' && <ReviewStep {...props} />}
    </>
  )
}

const TITLES: Record<Step, string> = {
  pictures: t.pictures,
  condition: t.condition,
  meter: t.meter,
  keeps: t.keeps,
  safe: t.safe,
  left: t.leftTitle,
  turn: t.turn,
}
const titleOf = (step: Step) => TITLES[step]

function validateStep(step: Step, row: Stop, fields: HandOverDraft): StepProps['errors'] {
  switch (step) {
    case 'meter':
      return { hours: hoursError(row, fields) }
    case 'safe':
      return { straps: /^(\d|1\d|20)?$/u.test(fields.straps.trim()) ? undefined : t.badStraps }
    default:
      return {}
  }
}

/** The error of the hour meter: an implausible number is asked about once and accepted when repeated. */
function hoursError(row: Stop, { hours, fresh, asked }: HandOverDraft): string | undefined {
  if (!hours.trim()) return undefined
  const read = format.value.readNumber(hours)
  if (read === null || read.startsWith('-') || !/^\d{1,6}(\.\d{1,2})?$/u.test(read)) return t.badHours
  const { machine } = aboutStop(row)
  const last = machine && lastMeter(machine.id)
  if (!last || fresh || asked === hours) return undefined
  const anomaly = readingAnomaly(Number(read), today(), { hours: Number(last.hours), on: last.read_on })
  const lastShown = [format.value.number(last.hours), format.value.day(last.read_on)] as const
  if (anomaly === 'lower') return t.lower(...lastShown)
  return anomaly === 'too_fast' ? t.tooFast(...lastShown) : undefined
}
