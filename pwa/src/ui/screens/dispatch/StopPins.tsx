import { useState } from 'preact/hooks'
import type { Stop } from '../../../domain/contract'
import { msOfWallTime, wallTimeAt } from '../../../domain/labor/clock'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import { rigs } from '../../../store/dispatch'
import { pinStop } from '../../../store/dispatchCommands'
import { Button, ButtonRow } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { aboutStop } from '../../features/dispatch/stopText'
import { zone } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { useDraft } from '../../useDraft'

const t = en.dispatch.move

/** Pins a stop to a rig, to a time, or behind another stop; every plan respects them. */
export function StopPins({ row, others, day }: { row: Stop; others: readonly Stop[]; day: string }) {
  const pinned = row.pin_at === null ? null : wallTimeAt(zone.value, Date.parse(row.pin_at))
  const { fields, update, discard } = useDraft(`pin:${row.id}`, {
    rig: row.pin_rig_id ?? '',
    day: pinned?.day ?? '',
    time: pinned?.time ?? '',
    after: row.pin_after_id ?? '',
  })
  const [error, setError] = useState<string | undefined>()

  async function pin() {
    const date = fields.day || (fields.time && day)
    const at = date && fields.time ? msOfWallTime(zone.value, { day: date, time: fields.time }) : null
    const half = Boolean(fields.day || fields.time) && at === null
    setError(half ? t.pinHalf : undefined)
    if (half) return
    const pins = {
      rig_id: fields.rig || null,
      at: at === null ? null : moment(at),
      after_id: fields.after || null,
    }
    if (await saveWithToast(() => pinStop(row.id, pins), t.pinned)) discard()
  }
  return (
    <Section title={t.pins}>
      <SelectField
        label={t.pinRig}
        value={fields.rig}
        options={[['', t.pinRigNone], ...rigs.value.map(({ id, name }) => [id, name] as const)]}
        onValueChange={(rig) => update({ rig })}
      />
      <div class="two-columns">
        <TextField
          type="time"
          label={t.pinHour}
          value={fields.time}
          error={error}
          onValueChange={(time) => update({ time })}
        />
        <TextField
          type="date"
          label={t.pinDay}
          value={fields.day}
          onValueChange={(value) => update({ day: value })}
        />
      </div>
      {others.length > 0 && (
        <SelectField
          label={t.pinAfter}
          value={fields.after}
          options={[['', t.pinAfterNone], ...others.map((each) => [each.id, aboutStop(each).name] as const)]}
          onValueChange={(after) => update({ after })}
        />
      )}
      <ButtonRow stacked>
        <Button wide label={t.pinSave} onPress={() => void pin()} />
      </ButtonRow>
    </Section>
  )
}
