import type { Gauge, GaugeKind, Quantity } from '../../../domain/contract'
import { isAmount } from '../../../domain/machines/limits'
import { UNITS, unitSymbol, unitsOf } from '../../../domain/numbers/quantities'
import type { Day } from '../../../domain/time'
import { quantities } from '../../../domain/words/quantities'
import { gaugeForm as t } from '../../../domain/words/readings'
import { addGauge, editGauge, gauge } from '../../../store/gauges'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { shown } from './readingText'

interface Fields {
  name: string
  kind: GaugeKind
  quantity: Quantity
  unit: string
  resolution: string
  uncertainty: string
  blades: string
  calibrated: string
  notes: string
  archived: boolean
}

const QUANTITIES = (Object.keys(quantities) as Quantity[]).map((key) => [key, quantities[key]] as const)
const KINDS = (Object.keys(t.kinds) as GaugeKind[]).map((value) => ({ value, label: t.kinds[value] }))

/** A new gauge; with a `jobId` the reading on that job comes next. */
export function NewGauge({ jobId }: { jobId?: string }) {
  return <Form seen={null} back={jobId ? { at: 'job-reading', id: jobId } : { at: 'gauges' }} />
}

export function ChangeGauge({ id }: { id: string }) {
  const row = gauge(id)
  const seen = useOriginal(`gauge:${id}`, row)
  return row && seen ? <Form seen={seen} back={{ at: 'gauges' }} /> : <NotFound />
}

function fieldsOf(seen: Gauge | null): Fields {
  return {
    name: seen?.name ?? '',
    kind: seen?.kind ?? 'measuring',
    quantity: seen?.quantity ?? 'length',
    unit: seen?.unit ?? '',
    resolution: shown(seen?.resolution ?? ''),
    uncertainty: shown(seen?.uncertainty ?? ''),
    blades: (seen?.blades ?? []).map(shown).join(' '),
    calibrated: seen?.calibrated_on ?? '',
    notes: seen?.notes ?? '',
    archived: seen?.archived ?? false,
  }
}

const plain = (text: string) => (text.trim() ? (format.value.readNumber(text) ?? text.trim()) : '')
const bladesOf = ({ kind, blades }: Fields) =>
  kind === 'go_no_go' ? blades.split(/\s+/u).filter(Boolean).map(plain) : []
const isSize = (text: string) => isAmount(text) && !text.startsWith('-')

function check(fields: Fields) {
  const sure = plain(fields.uncertainty)
  return {
    name: !fields.name.trim() && t.missingName,
    unit: UNITS.get(fields.unit)?.quantity !== fields.quantity && t.missingUnit,
    uncertainty: (!sure || !isSize(sure) || Number(sure) === 0) && t.missingSure,
    resolution: !isSize(plain(fields.resolution)) && t.badNumber,
    blades: !bladesOf(fields).every(isSize) && t.badBlades,
  }
}

function Form({ seen, back }: { seen: Gauge | null; back: Route }) {
  const form = useForm<Fields>({
    name: `gauge:${seen?.id ?? 'new'}`,
    blank: fieldsOf(seen),
    check,
    save: (fields) => {
      const { name, kind, quantity, unit, calibrated, notes, archived } = fields
      const row = {
        name: name.trim(),
        kind,
        quantity,
        unit,
        resolution: plain(fields.resolution),
        uncertainty: plain(fields.uncertainty),
        blades: bladesOf(fields).sort((a, b) => Number(a) - Number(b)),
        calibrated_on: (calibrated || null) as Day | null,
        notes: notes.trim(),
        archived,
      }
      return seen ? editGauge(seen, row) : addGauge(row)
    },
    back,
  })
  const { field, fields, update } = form
  // A quantity that only a newer server knows has no units here.
  const known = fields.quantity in quantities ? unitsOf(fields.quantity) : []
  const units = known.map((key) => [key, unitSymbol(key)] as const)
  return (
    <FormPage form={form} title={seen ? t.title : t.newTitle} saveLabel={t.save}>
      <TextField label={t.name} {...field('name')} />
      <RadioGroup label={t.kind} options={KINDS} {...field('kind')} />
      <SelectField
        label={t.quantity}
        value={fields.quantity}
        options={QUANTITIES}
        onValueChange={(quantity) => update({ quantity: quantity as Quantity, unit: '' })}
      />
      <SelectField label={t.unit} options={[['', ''], ...units]} {...field('unit')} />
      <TextField decimal label={t.uncertainty} hint={t.uncertaintyHint} {...field('uncertainty')} />
      <TextField decimal label={t.resolution} {...field('resolution')} />
      {fields.kind === 'go_no_go' && <TextField label={t.blades} hint={t.bladesHint} {...field('blades')} />}
      <TextField type="date" label={t.calibrated} {...field('calibrated')} />
      <TextField label={t.notes} {...field('notes')} />
      {seen && (
        <BooleanRadioGroup
          horizontal
          label={t.archived}
          options={[
            [false, t.used],
            [true, t.unused],
          ]}
          {...field('archived')}
        />
      )}
    </FormPage>
  )
}
