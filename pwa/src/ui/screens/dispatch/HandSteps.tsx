import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { attachmentsAbout } from '../../../store/attachments'
import { lastMeter } from '../../../store/machines'
import { addPicture } from '../../../store/pictures'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Caution } from '../../components/Part'
import { Picks } from '../../components/Picks'
import { FileKey } from '../../components/Picture'
import { Key, Keys } from '../../components/Press'
import { figures } from '../../shopFigures'
import { tell } from '../../telling'
import { aboutStop } from './about'
import type { StepProps } from './HandOver'
import { FUELS, LEFT, MADE, PARTS, STATES, VIEWS, type View } from './handing'

const its = en.dispatch.hand

/** One key a view; a picture says which it is. */
export function PicturesStep({ row }: StepProps) {
  const [wrong, setWrong] = useState('')
  const taken = attachmentsAbout('stop', row.id)

  async function add(view: View, files: readonly File[]) {
    setWrong('')
    for (const file of files) {
      const added = await addPicture('stop', row.id, file, its.views[view])
      if (added.done) tell(en.pictures.kept)
      else setWrong(en.pictures.wrong[added.because])
    }
  }
  return (
    <>
      <p class="lines">{its.picturesHint}</p>
      <Caution words={its.undersideCaution} />
      {wrong && (
        <p class="wrong" role="alert">
          {wrong}
        </p>
      )}
      <Keys tall>
        {VIEWS.map((view) => (
          <FileKey
            key={view}
            camera
            words={`${its.views[view]}: ${its.taken(taken.filter(({ caption }) => caption === its.views[view]).length)}`}
            onFiles={(files) => void add(view, files)}
          />
        ))}
      </Keys>
    </>
  )
}

export function ConditionStep({ draft: { fields, put } }: StepProps) {
  return (
    <>
      <p class="lines">{its.conditionHint}</p>
      {PARTS.map((part) => {
        const seen = fields.condition[part]
        const note = seen?.note ?? ''
        const set = (state: (typeof STATES)[number], words: string) =>
          put({ condition: { ...fields.condition, [part]: { state, note: words } } })
        return (
          <div key={part}>
            <Choice
              across
              label={its.parts[part]}
              value={seen?.state ?? null}
              options={STATES.map((value) => ({ value, words: its.states[value] }))}
              onValue={(state) => set(state, note)}
            />
            {seen && seen.state !== 'good' && (
              <Field
                label={its.partNote(its.parts[part])}
                value={note}
                onValue={(words) => set(seen.state, words)}
              />
            )}
          </div>
        )
      })}
    </>
  )
}

export function MeterStep({ row, draft: { fields, put }, wrong }: StepProps) {
  const { machine } = aboutStop(row)
  const last = machine && lastMeter(machine.id)
  const told = last && en.meter.last(figures.value.number(last.hours), figures.value.day(last.read_on))
  return (
    <>
      <Field
        decimal
        label={its.hours}
        hint={[told, its.hoursHint].filter(Boolean).join('. ')}
        value={fields.hours}
        wrong={wrong['hours']}
        enter="next"
        onValue={(hours) => put({ hours })}
      />
      {last && (
        <Keys tall>
          <Key wide words={its.fresh} pressed={fields.fresh} onPress={() => put({ fresh: !fields.fresh })} />
        </Keys>
      )}
    </>
  )
}

export function KeepsStep({ draft: { fields, put } }: StepProps) {
  return (
    <>
      <Field label={its.keys} hint={its.keysHint} value={fields.keys} onValue={(keys) => put({ keys })} />
      <Select
        label={its.fuel}
        value={fields.fuel}
        options={FUELS.map((fuel) => [fuel, its.fuels[fuel]] as const)}
        onValue={(fuel) => put({ fuel: fuel as typeof fields.fuel })}
      />
      <Choice
        label={its.runs}
        value={fields.runs}
        options={[
          { value: 'yes', words: its.runsYes },
          { value: 'no', words: its.runsNo },
          { value: '', words: its.runsNot },
        ]}
        onValue={(runs) => put({ runs })}
      />
      <Field
        area
        label={its.accessories}
        value={fields.accessories}
        onValue={(accessories) => put({ accessories })}
      />
    </>
  )
}

export function SafeStep({ draft: { fields, put }, wrong }: StepProps) {
  return (
    <>
      <Caution words={its.safeCaution} />
      <Picks
        label={its.safeHint}
        values={fields.made}
        options={MADE.map((value) => ({ value, words: its.made[value] }))}
        onValues={(made) => put({ made })}
      />
      <Field
        decimal
        label={its.straps}
        hint={its.strapsHint}
        value={fields.straps}
        wrong={wrong['straps']}
        onValue={(straps) => put({ straps })}
      />
    </>
  )
}

export function LeftStep({ draft: { fields, put } }: StepProps) {
  return (
    <>
      <Picks
        label={its.leftHint}
        values={fields.left}
        options={LEFT.map((value) => ({ value, words: its.left[value] }))}
        onValues={(left) => put({ left })}
      />
      <Field label={its.leftNote} value={fields.leftNote} onValue={(leftNote) => put({ leftNote })} />
    </>
  )
}
