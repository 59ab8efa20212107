import { useId, useState } from 'preact/hooks'
import { hand as t } from '../../../domain/words/handover'
import { en } from '../../../domain/words/index'
import { picturesAbout } from '../../../store/pictures/attachments'
import { addPicture } from '../../../store/pictures/pictures'
import { ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { FileButton } from '../../components/Picture'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution } from '../../components/Section'
import { PARTS, STATES, type StepProps, VIEWS, type View } from '../../features/dispatch/handOverDraft'
import { showToast } from '../../toast'

/** One button for each view; its pictures carry the name of the view. */
export function PicturesStep({ row }: StepProps) {
  const id = useId()
  const [refused, setRefused] = useState<{ view: View; error: string } | null>(null)
  const taken = picturesAbout('stop', row.id)

  async function add(view: View, files: readonly File[]) {
    setRefused(null)
    for (const file of files) {
      const added = await addPicture('stop', row.id, file, t.views[view])
      if (added.done) showToast(en.pictures.kept)
      else setRefused({ view, error: en.pictures.wrong[added.because] })
    }
  }
  return (
    <>
      <p class="multiline">{t.picturesHint}</p>
      {row.kind === 'return' && <Caution text={t.safeCaution} />}
      <Caution text={t.undersideCaution} />
      {refused && (
        <p class="field-error" role="alert" id={id}>
          {refused.error}
        </p>
      )}
      <ButtonRow stacked>
        {VIEWS.map((view) => (
          <FileButton
            key={view}
            camera
            errorId={refused?.view === view ? id : undefined}
            label={`${t.views[view]}: ${t.taken(taken.filter(({ caption }) => caption === t.views[view]).length)}`}
            onFiles={(files) => void add(view, files)}
          />
        ))}
      </ButtonRow>
    </>
  )
}

export function ConditionStep({ draft: { fields, update } }: StepProps) {
  return (
    <>
      <p class="multiline">{t.conditionHint}</p>
      {PARTS.map((part) => {
        const seen = fields.condition[part]
        const note = seen?.note ?? ''
        const set = (state: (typeof STATES)[number], words: string) =>
          update({ condition: { ...fields.condition, [part]: { state, note: words } } })
        return (
          <div key={part}>
            <RadioGroup
              horizontal
              label={t.parts[part]}
              value={seen?.state ?? null}
              options={STATES.map((value) => ({ value, label: t.states[value] }))}
              onValueChange={(state) => set(state, note)}
            />
            {seen && seen.state !== 'good' && (
              <TextField
                label={t.partNote(t.parts[part])}
                value={note}
                onValueChange={(words) => set(seen.state, words)}
              />
            )}
          </div>
        )
      })}
    </>
  )
}
