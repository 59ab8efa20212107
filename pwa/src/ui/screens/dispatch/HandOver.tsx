import { useState } from 'preact/hooks'
import type { Stop } from '../../../domain/rows'
import { doubtOfReading } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { handOver, stop } from '../../../store/dispatch'
import { lastMeter } from '../../../store/machines'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { type Draft, useDraft } from '../../draft'
import { giveTo } from '../../handed'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, today } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'
import { ConditionStep, KeepsStep, LeftStep, MeterStep, PicturesStep, SafeStep } from './HandSteps'
import { type Handing, handedOver, STEPS, type Step, UNTOUCHED } from './handing'
import { TurnStep } from './TurnStep'

const its = en.dispatch.hand

export interface StepProps {
  row: Stop
  draft: Draft<Handing>
  wrong: Readonly<Record<string, string | undefined>>
}

/** A machine changes hands: a short list, one thing a screen; then the phone is turned round to the owner. */
export function HandOver({ id }: { id: string }) {
  const row = stop(id)
  return row ? <Going row={row} /> : <Nowhere />
}

function Going({ row }: { row: Stop }) {
  const draft = useDraft<Handing>(`hand:${row.id}`, UNTOUCHED)
  const { fields, put, drop } = draft
  const [wrong, setWrong] = useState<StepProps['wrong']>({})
  const { busy, send } = useSend()
  const steps = STEPS[row.kind]
  const step = steps[fields.step] ?? 'turn'
  const { machine, name } = aboutStop(row)

  function goOn() {
    const found = faultsOf(step, row, fields)
    setWrong(found)
    if (Object.values(found).some(Boolean)) {
      if (step === 'meter') put({ asked: fields.hours })
      return
    }
    if (step === 'turn') return fields.nobody ? finish() : giveTo('stop', row.id)
    put({ step: fields.step + 1 })
    scrollTo(0, 0)
  }

  function finish() {
    void send(
      () => handOver(handedOver(row, fields)),
      () => {
        drop()
        goTo({ at: 'stop', id: row.id }, { instead: true })
      },
      its.saved,
    )
  }
  const props = { row, draft, wrong }
  return (
    <Sheet
      key={step}
      over={en.app.joined([its.titles[row.kind], its.step(fields.step + 1, steps.length)])}
      title={titleOf(step)}
      under={en.app.joined([name, machineName(machine)])}
      back={{ at: 'stop', id: row.id }}
      dock={
        <>
          {fields.step > 0 && (
            <Keys>
              <Key words={its.before} onPress={() => put({ step: fields.step - 1 })} />
            </Keys>
          )}
          {step === 'turn' && !fields.nobody ? (
            <Slab words={its.give} hint={its.giveHint(name)} form="hand" busy={busy} />
          ) : (
            <Slab words={step === 'turn' ? its.save : its.next} form="hand" busy={busy} />
          )}
        </>
      }
    >
      <Form id="hand" wrong={wrong} onSend={goOn}>
        {step === 'pictures' && <PicturesStep {...props} />}
        {step === 'condition' && <ConditionStep {...props} />}
        {step === 'meter' && <MeterStep {...props} />}
        {step === 'keeps' && <KeepsStep {...props} />}
        {step === 'safe' && <SafeStep {...props} />}
        {step === 'left' && <LeftStep {...props} />}
        {step === 'turn' && <TurnStep {...props} />}
      </Form>
    </Sheet>
  )
}

const TITLES: Record<Step, string> = {
  pictures: its.pictures,
  condition: its.condition,
  meter: its.meter,
  keeps: its.keeps,
  safe: its.safe,
  left: its.leftTitle,
  turn: its.turn,
}
const titleOf = (step: Step) => TITLES[step]

function faultsOf(step: Step, row: Stop, fields: Handing): StepProps['wrong'] {
  switch (step) {
    case 'meter':
      return { hours: faultOfHours(row, fields) }
    case 'safe':
      return { straps: /^(\d|1\d|20)?$/u.test(fields.straps.trim()) ? undefined : its.badStraps }
    default:
      return {}
  }
}

/** No number is sent back; an odd one is asked about once, and kept when it is given again. */
function faultOfHours(row: Stop, { hours, fresh, asked }: Handing): string | undefined {
  if (!hours.trim()) return undefined
  const read = figures.value.readNumber(hours)
  if (read === null || read.startsWith('-') || !/^\d{1,6}(\.\d{1,2})?$/u.test(read)) return its.badHours
  const { machine } = aboutStop(row)
  const last = machine && lastMeter(machine.id)
  if (!last || fresh || asked === hours) return undefined
  const doubt = doubtOfReading(Number(read), today(), { hours: Number(last.hours), on: last.read_on })
  const told = [figures.value.number(last.hours), figures.value.day(last.read_on)] as const
  if (doubt === 'lower') return its.lower(...told)
  return doubt === 'too_fast' ? its.tooFast(...told) : undefined
}
