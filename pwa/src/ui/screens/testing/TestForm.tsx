import { QUANTITIES } from '../../../domain/bench/runTests'
import type { Job, RunTestKind, RunTestOutcome, WorkCaution } from '../../../domain/contract'
import { unitSymbol, unitsOf } from '../../../domain/numbers/quantities'
import { testing } from '../../../domain/words/testing'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { figureOfTest, resultOf } from '../../../store/runTests'
import { Button } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { Cautions } from '../../features/cautions/Cautions'
import { figureOf, testName } from '../../features/testing/testText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { format } from '../../shopFormat'
import { useForm } from '../../useForm'
import { figureHint, isOutside } from './figures'
import { decideTest, readTest, saveTest, type Typed } from './testFields'

const t = testing.form
const KINDS = Object.keys(testing.kinds) as RunTestKind[]
const OUTCOMES = (Object.keys(testing.outcomes) as RunTestOutcome[]).map((value) => ({
  value,
  label: testing.outcomes[value],
}))

/** What can hurt in a test; in all others a running engine. */
const CAUTIONS: { readonly [K in RunTestKind]?: readonly WorkCaution[] } = {
  bleed_cycles: ['hot_coolant', 'running_engine'],
  charge_voltage: ['battery', 'running_engine'],
  leaks: ['fuel', 'running_engine'],
}

/** One test of a job: what was measured, how it went, and notes. */
export function TestForm({ id, kind, item = '' }: { id: string; kind: string; item?: string | undefined }) {
  const row = job(id)
  const known = KINDS.find((each) => each === kind)
  return row && known ? <OneTest row={row} kind={known} item={item} /> : <NotFound />
}

function OneTest({ row, kind, item }: { row: Job; kind: RunTestKind; item: string }) {
  const { id } = row
  const quantity = QUANTITIES[kind]
  // The unit in which everybody reads it: V, rpm, s.
  const unit = (quantity && unitsOf(quantity)[0]) ?? ''
  const figure = figureOfTest(row, kind)
  const last = resultOf(id, { kind, item })
  const decided = (typed: Typed) => decideTest(kind, unit, figure, typed)
  const form = useForm<Typed>({
    name: `test:${id}:${kind}:${item}`,
    blank: { name: item, value: '', cycles: '', outcome: null, words: '' },
    check: (typed) => readTest(kind, unit, decided(typed)).faults,
    save: (typed) => saveTest(row, { kind, item, unit, figure }, typed),
    back: { at: 'job-tests', id },
  })
  const { field, fields } = form
  const value = readTest(kind, unit, fields).made.value
  const before = last && [figureOf(last), testing.outcomes[last.outcome], format.value.moment(last.tested_at)]
  return (
    <FormPage
      form={form}
      overline={machineName(machine(row.machine_id))}
      title={testName({ kind, item })}
      subtitle={testing.how[kind]}
      saveLabel={t.save}
      {...(before && { saveHint: t.before(before.filter(Boolean).join(', ')) })}
      before={<Cautions job={id} codes={CAUTIONS[kind] ?? ['running_engine']} />}
      after={
        decided(fields).outcome === 'failed' && (
          <Button wide label={t.finding} to={{ at: 'job-finding', id }} />
        )
      }
    >
      {kind === 'other' && !item && <TextField label={t.name} {...field('name')} />}
      {quantity && (
        <TextField
          decimal
          label={`${t.value}, ${unitSymbol(unit)}`}
          hint={figure ? figureHint(figure) : t.manualOnly}
          {...field('value')}
        />
      )}
      {value !== null && figure && !figure.own && isOutside(value, unit, figure) && (
        <p role="status">{t.outside}</p>
      )}
      {kind === 'bleed_cycles' && <TextField decimal label={t.cycles} {...field('cycles')} />}
      <RadioGroup
        horizontal
        label={t.outcome}
        options={OUTCOMES}
        {...field('outcome')}
        value={decided(fields).outcome}
      />
      <TextField multiline label={t.words} hint={t.why} {...field('words')} />
    </FormPage>
  )
}
