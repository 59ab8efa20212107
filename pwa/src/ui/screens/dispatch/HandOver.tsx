import { useState } from 'preact/hooks'
import type { Stop } from '../../../domain/rows'
import { doubtOfReading } from '../../../domain/runs'
import { en } from '../../../domain/words'
import { agreed, hasDecided } from '../../../store/agreed'
import { handOver, stop } from '../../../store/dispatch'
import { declinedBefore, findingsOf } from '../../../store/jobs'
import { lastMeter } from '../../../store/machines'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { type Draft, useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, today } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'
import { ConditionStep, KeepsStep, LeftStep, MeterStep, OpenStep, PicturesStep, SafeStep } from './HandSteps'
import { asLeft, conditionOf, type Handing, madeSafe, STEPS, type Step, UNTOUCHED } from './handing'
import { SignStep } from './SignStep'

const its = en.dispatch.hand

export interface StepProps {
  row: Stop
  draft: Draft<Handing>
  wrong: Readonly<Record<string, string | undefined>>
}

/** A machine changes hands: a short list, one thing a screen, name and ink at the end. */
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
  const step = steps[fields.step] ?? 'sign'
  const { machine, name, job } = aboutStop(row)
  const due = job && hasDecided(job.id) ? (agreed(job.id, Date.now())?.total ?? null) : null

  function goOn() {
    const found = faultsOf(step, row, fields)
    setWrong(found)
    if (Object.values(found).some(Boolean)) {
      if (step === 'meter') put({ asked: fields.hours })
      return
    }
    if (step === 'sign') return finish()
    put({ step: fields.step + 1 })
    scrollTo(0, 0)
  }

  function finish() {
    const hours = figures.value.readNumber(fields.hours)
    const signs = !fields.nobody
    const seen = {
      stop_id: row.id,
      condition: [...conditionOf(fields)],
      meter: hours === null ? null : { hours, new_segment: fields.fresh },
      keys: fields.keys.trim(),
      fuel: fields.fuel,
      accessories: fields.accessories.trim(),
      runs: fields.runs === '' ? null : fields.runs === 'yes',
      made_safe: row.kind === 'pickup' ? madeSafe(fields) : [],
      as_left: row.kind === 'pickup' ? [] : asLeft(fields),
      acknowledged: openFindings(row)
        .filter((finding) => fields.heard.includes(finding.id))
        .map(({ words }) => words),
      amount_due_minor: row.kind === 'pickup' ? null : due,
      signer_name: signs ? fields.name.trim() : '',
      ink: signs ? { strokes: fields.strokes, ...fields.box } : null,
    }
    void send(
      () => handOver(seen),
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
          <Slab words={step === 'sign' ? its.save : its.next} form="hand" busy={busy} />
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
        {step === 'open' && <OpenStep {...props} findings={openFindings(row)} />}
        {step === 'sign' && <SignStep {...props} due={row.kind === 'pickup' ? null : due} />}
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
  open: its.open,
  sign: its.sign,
}
const titleOf = (step: Step) => TITLES[step]

/** Found on this job or declined before, able to hurt someone, and nobody said yes to mending it. */
function openFindings(row: Stop) {
  const { job } = aboutStop(row)
  if (!job) return []
  return [...findingsOf(job.id), ...declinedBefore(job)].filter(
    ({ rank, decided }) => rank === 'safety' && decided !== 'accepted',
  )
}

function faultsOf(step: Step, row: Stop, fields: Handing): StepProps['wrong'] {
  switch (step) {
    case 'meter':
      return { hours: faultOfHours(row, fields) }
    case 'safe':
      return { straps: /^(\d|1\d|20)?$/u.test(fields.straps.trim()) ? undefined : its.badStraps }
    case 'open': {
      const unheard = openFindings(row).find(({ id }) => !fields.heard.includes(id))
      return unheard && !fields.nobody ? { [unheard.id]: its.missingHeard } : {}
    }
    case 'sign':
      if (fields.nobody) return {}
      return {
        name: fields.name.trim() ? undefined : its.missingName,
        ink: fields.strokes.length > 0 ? undefined : its.missingInk,
      }
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
