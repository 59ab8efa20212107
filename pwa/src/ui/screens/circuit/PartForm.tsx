import { closedWhen, freeKey, putIntoWay, putPart } from '../../../domain/bench/circuitChanges'
import type { Circuit, CircuitPart, CircuitPartKind, Control } from '../../../domain/contract'
import { circuit as t } from '../../../domain/words/circuit'
import { circuit, editCircuit } from '../../../store/circuits'
import { SelectField, TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { useForm } from '../../useForm'

const KINDS: readonly CircuitPartKind[] = [
  'switch',
  'connector',
  'wire',
  'relay',
  'fuse',
  'battery',
  'solenoid',
  'starter',
  'module',
]
const CONTROLS: readonly Control[] = ['seat', 'brake', 'pto', 'neutral', 'reverse', 'override', 'key']
const CLOSED = [
  ['always', t.closedAlways],
  ['never', t.closedNever],
  ...CONTROLS.flatMap((control) => [
    [`${control}.on`, t.closedWhen(control, true)] as const,
    [`${control}.off`, t.closedWhen(control, false)] as const,
  ]),
] as const

interface Params {
  id: string
  part?: string
  chain?: string
  way?: string
  jobId?: string
}

interface Fields {
  name: string
  kind: string
  closed: string
  perThousand: string
  passPercent: string
  minutes: string
}

/** A part of a circuit, or a new one at the end of a way: what it is, what closes it, its figures. */
export function PartForm(params: Params) {
  const row = circuit(params.id)
  return row ? <PartFields row={row} params={params} /> : <NotFound />
}

const isEmptyOr = (text: string, least: number, most: number) =>
  !text.trim() || (/^\d{1,3}$/.test(text.trim()) && Number(text) >= least && Number(text) <= most)

const figure = (text: string) => (text.trim() ? Number(text) : null)

function startOf(row: Circuit, part: CircuitPart | undefined): Fields {
  const { control, closed } = part ? closedWhen(row.wiring, part.key) : { control: null, closed: true }
  return {
    name: part?.name ?? '',
    kind: part?.kind ?? 'switch',
    closed: control ? `${control}.${closed ? 'on' : 'off'}` : closed ? 'always' : 'never',
    perThousand: `${part?.per_thousand ?? ''}`,
    passPercent: `${part?.pass_percent ?? ''}`,
    minutes: `${part?.minutes ?? ''}`,
  }
}

function changed(row: Circuit, { part, chain, way }: Params, fields: Fields) {
  const key = part ?? freeKey(row.wiring)
  const [control, state] = fields.closed.split('.')
  const made: CircuitPart = {
    key,
    kind: KINDS.find((each) => each === fields.kind) ?? 'switch',
    name: fields.name.trim(),
    per_thousand: figure(fields.perThousand),
    pass_percent: figure(fields.passPercent),
    minutes: figure(fields.minutes),
  }
  const when = state
    ? { control: CONTROLS.find((each) => each === control) ?? null, closed: state === 'on' }
    : { control: null, closed: fields.closed === 'always' }
  const wiring = part
    ? row.wiring
    : putIntoWay(row.wiring, chain === 'kill' ? 'kill' : 'crank', Number(way) || 0, key)
  return putPart(wiring, made, when)
}

function PartFields({ row, params }: { row: Circuit; params: Params }) {
  const { id, part, chain, way, jobId } = params
  const known = row.wiring.parts.find(({ key }) => key === part)
  const job = jobId ? { jobId } : {}
  const of = chain === 'kill' ? 'kill' : 'crank'
  const back: Route = chain
    ? { at: 'circuit-way', id, chain: of, way: way ?? '0', ...job }
    : { at: 'circuit', id, ...job }
  const form = useForm<Fields>({
    name: `circuit-part:${id}:${part ?? `${chain}.${way}`}`,
    blank: startOf(row, known),
    check: ({ name, perThousand, passPercent, minutes }) => ({
      name: !name.trim() && t.missingName,
      perThousand: !isEmptyOr(perThousand, 1, 500) && t.badNumber(1, 500),
      passPercent: !isEmptyOr(passPercent, 1, 99) && t.badNumber(1, 99),
      minutes: !isEmptyOr(minutes, 1, 240) && t.badNumber(1, 240),
    }),
    save: (fields) => editCircuit(row, { wiring: changed(row, params, fields) }),
    back,
  })
  return (
    <FormPage
      form={form}
      overline={row.name}
      title={known ? t.partTitle : t.addPart}
      saveLabel={t.saveNothing}
    >
      <TextField label={t.partName} {...form.field('name')} />
      <SelectField
        label={t.kind}
        options={KINDS.map((kind) => [kind, t.partKinds[kind]] as const)}
        {...form.field('kind')}
      />
      <SelectField label={t.control} options={CLOSED} {...form.field('closed')} />
      <TextField label={t.perThousand} hint={t.empty} {...form.field('perThousand')} />
      <TextField label={t.passPercent} hint={t.empty} {...form.field('passPercent')} />
      <TextField label={t.reach} hint={t.empty} {...form.field('minutes')} />
    </FormPage>
  )
}
