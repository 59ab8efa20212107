import type { SafetyItem } from '../../../domain/contract'
import { moment } from '../../../domain/time'
import { safetyItems as t } from '../../../domain/words/safetyItems'
import { safetyItem } from '../../../store/findings'
import { reopenSafetyItem, repairSafetyItem } from '../../../store/safetyItems'
import { TextField } from '../../components/Field'
import { NumberStepper } from '../../components/NumberStepper'
import { Caution } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { itemText } from '../../features/safety/itemText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

const MOST_TRIES = 1000

/** Records that a safety device works after its repair: how often it was tried, and what was seen. */
export function RepairSafetyItem({ id }: { id: string }) {
  const row = safetyItem(id)
  return row ? <RepairForm row={row} /> : <NotFound />
}

function readTries(typed: string): number | null {
  const tries = Number(typed)
  return /^\d{1,4}$/u.test(typed) && tries >= 1 && tries <= MOST_TRIES ? tries : null
}

function RepairForm({ row }: { row: SafetyItem }) {
  const form = useForm({
    name: `safety-repair:${row.id}`,
    blank: { tries: '', seen: '' },
    check: ({ tries, seen }) => ({
      tries: readTries(tries) === null && t.repair.missingTries,
      seen: !seen.trim() && t.repair.missingSeen,
    }),
    save: ({ tries, seen }) =>
      repairSafetyItem({
        id: row.id,
        tried_at: moment(Date.now()),
        tries: readTries(tries),
        seen: seen.trim(),
      }),
    back: { at: 'safety-item', id: row.id },
    next: () => ({ at: 'job', id: row.job_id }),
    saved: t.repair.saved,
    undo: () => () => reopenSafetyItem({ id: row.id, tried_at: moment(Date.now()), seen: t.repair.undone }),
  })
  const { fields, update } = form
  return (
    <FormPage form={form} overline={itemText(row)} title={t.repair.title} saveLabel={t.repair.save}>
      <Caution text={t.repair.caution} />
      <NumberStepper
        label={t.repair.tries}
        decreaseLabel={t.repair.fewer}
        increaseLabel={t.repair.more}
        {...form.field('tries')}
        onStep={(step) =>
          update({
            tries: String(Math.min(MOST_TRIES, Math.max(1, (readTries(fields.tries) ?? 0) + step))),
          })
        }
      />
      <TextField multiline label={t.repair.seen} hint={t.repair.seenHint} {...form.field('seen')} />
    </FormPage>
  )
}

/** Records that a repaired safety device was found not to work. */
export function ReopenSafetyItem({ id }: { id: string }) {
  const row = safetyItem(id)
  return row ? <ReopenForm row={row} /> : <NotFound />
}

function ReopenForm({ row }: { row: SafetyItem }) {
  const form = useForm({
    name: `safety-reopen:${row.id}`,
    blank: { seen: '' },
    check: ({ seen }) => ({ seen: !seen.trim() && t.repair.missingSeen }),
    save: ({ seen }) => reopenSafetyItem({ id: row.id, tried_at: moment(Date.now()), seen: seen.trim() }),
    back: { at: 'safety-item', id: row.id },
    saved: t.reopen.saved,
  })
  return (
    <FormPage form={form} overline={itemText(row)} title={t.reopen.title} saveLabel={t.reopen.save}>
      <TextField multiline label={t.repair.seen} {...form.field('seen')} />
    </FormPage>
  )
}
