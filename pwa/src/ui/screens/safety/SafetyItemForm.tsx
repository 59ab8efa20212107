import type { DeviceCondition, SafetyItem } from '../../../domain/contract'
import { conditions, devices, safetyItems as t } from '../../../domain/words/safetyItems'
import { customer } from '../../../store/customers'
import { finding, safetyItem } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { editSafetyItem, recordSafetyItem } from '../../../store/safetyItems'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { DraftPictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'

const OTHER = 'other'
const DEVICES = [
  ['', t.choose],
  ...Object.entries(devices).map(([key, { name }]) => [key, name] as const),
  [OTHER, t.other],
] as const
const CONDITIONS = (Object.keys(conditions) as DeviceCondition[]).map((value) => ({
  value,
  label: conditions[value],
}))

/** A new safety item of a job; the address may name the device, and the finding that it belongs to. */
export function NewSafetyItem({
  id,
  device = '',
  findingId,
}: {
  id: string
  device?: string
  findingId?: string
}) {
  return <SafetyItemForm jobId={id} seen={null} device={device} findingId={findingId ?? null} />
}

export function ChangeSafetyItem({ id }: { id: string }) {
  const row = safetyItem(id)
  const seen = useOriginal(`safety-item:${id}`, row)
  return row && seen ? (
    <SafetyItemForm jobId={row.job_id} seen={seen} device={seen.device} findingId={seen.finding_id} />
  ) : (
    <NotFound />
  )
}

interface Fields {
  device: string
  other: string
  condition: DeviceCondition | null
  lost: string
  interim: string
}

function blankOf(device: string, seen: SafetyItem | null, consequence: string): Fields {
  const known = devices[device]
  return {
    device: known ? device : device && OTHER,
    other: known ? '' : device,
    condition: seen?.condition ?? null,
    lost: seen?.protection_lost ?? (consequence || known?.lost || ''),
    interim: seen?.interim ?? '',
  }
}

interface Props {
  jobId: string
  seen: SafetyItem | null
  device: string
  findingId: string | null
}

function SafetyItemForm({ jobId, seen, device, findingId }: Props) {
  const row = job(jobId)
  const about = (findingId && finding(findingId)) || undefined
  const name = `safety-item:${seen?.id ?? findingId ?? jobId}${seen ? '' : `:${device}`}`
  const form = useForm<Fields, unknown>({
    name,
    blank: blankOf(device, seen, seen ? '' : (about?.consequence ?? '')),
    check: (typed) => ({
      device: !deviceOf(typed) && typed.device !== OTHER && t.missingDevice,
      other: typed.device === OTHER && !typed.other.trim() && t.missingDevice,
      condition: !typed.condition && t.missingCondition,
      lost: !typed.lost.trim() && t.missingLost,
    }),
    save: (typed) => {
      const { condition, lost, interim } = typed
      if (!condition) return null
      const fields = {
        device: deviceOf(typed),
        condition,
        protection_lost: lost.trim(),
        interim: interim.trim(),
      }
      return seen
        ? editSafetyItem(seen, fields)
        : recordSafetyItem(
            { job_id: jobId, finding_id: about?.job_id === jobId ? about.id : null, ...fields },
            formPicturesOf(name),
          )
    },
    back: seen ? { at: 'safety-item', id: seen.id } : { at: 'job', id: jobId },
    ...(!seen && { saved: t.saved }),
  })
  if (!row) return <NotFound />
  return (
    <FormPage
      form={form}
      overline={customer(row.customer_id)?.name ?? ''}
      title={seen ? t.editTitle : t.title}
      saveLabel={t.save}
    >
      <DeviceFields form={form} />
      <RadioGroup label={t.condition} options={CONDITIONS} {...form.field('condition')} />
      <TextField multiline label={t.lost} hint={t.lostHint} {...form.field('lost')} />
      {!seen && <DraftPictures form={name} title={t.tag} />}
      <More label={t.more} names={t.moreNames} invalid={false}>
        <TextField multiline label={t.interim} hint={t.interimHint} {...form.field('interim')} />
      </More>
    </FormPage>
  )
}

const deviceOf = ({ device, other }: Fields): string => (device === OTHER ? other.trim() : device)

/** The device; what is lost without it is filled in until somebody typed it. */
function DeviceFields({ form: { fields, update, field } }: { form: FormState<Fields> }) {
  const prefilled = !fields.lost || Object.values(devices).some(({ lost }) => lost === fields.lost)
  return (
    <>
      <SelectField
        label={t.device}
        options={DEVICES}
        {...field('device')}
        onValueChange={(device) =>
          update({ device, ...(prefilled && { lost: devices[device]?.lost ?? '' }) })
        }
      />
      {fields.device === OTHER && <TextField label={t.otherDevice} {...field('other')} />}
    </>
  )
}
