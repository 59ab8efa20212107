import { publishedFigure } from '../../../domain/bench/publishedFigures'
import { QUANTITIES, runTestFaults } from '../../../domain/bench/runTests'
import type { Job, RunTestKind, RunTestOutcome, WorkCaution } from '../../../domain/contract'
import { unitSymbol, unitsOf } from '../../../domain/numbers/quantities'
import { testing } from '../../../domain/words/testing'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { classOf, recordRunTest, resultOf } from '../../../store/runTests'
import { Button } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { Cautions } from '../../features/cautions/Cautions'
import { figureOf, testName } from '../../features/testing/testText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { format, typedFormat } from '../../shopFormat'
import { useForm } from '../../useForm'
import { figureHint, isOutside, rangeText } from './figures'

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

interface Typed {
  name: string
  value: string
  cycles: string
  outcome: RunTestOutcome | null
  words: string
}

/** One test of a job: what was measured, how it went, and notes. */
export function TestForm({ id, kind, item = '' }: { id: string; kind: string; item?: string | undefined }) {
  const row = job(id)
  const known = KINDS.find((each) => each === kind)
  return row && known ? <OneTest row={row} kind={known} item={item} /> : <NotFound />
}

/** The row that a form makes, with what is wrong with it by field. */
function read(kind: RunTestKind, unit: string, typed: Typed) {
  const value = typed.value.trim() ? typedFormat.value.readNumber(typed.value) : null
  const cycles = typed.cycles.trim() ? Number(typedFormat.value.readNumber(typed.cycles) ?? Number.NaN) : null
  const made = {
    value,
    unit: value === null ? '' : unit,
    tries: Number.isInteger(cycles) ? cycles : null,
    good: null,
  }
  const faults: { readonly [field in 'value' | 'tries']?: string } = Object.fromEntries(
    runTestFaults({ kind, ...made }).map(([field, fault]) => [field, t.faults[fault]]),
  )
  const isUnread = (text: string, read: unknown) => text.trim() !== '' && read === null
  const needed = QUANTITIES[kind] !== undefined && typed.outcome === 'passed' && !typed.value.trim()
  return {
    made,
    faults: {
      value: isUnread(typed.value, value) ? t.notNumber : needed ? t.noValue : faults.value,
      cycles: isUnread(typed.cycles, made.tries) ? t.notNumber : faults.tries,
      outcome: !typed.outcome && t.noOutcome,
      name: kind === 'other' && !typed.name.trim() && t.noName,
    },
  }
}

function OneTest({ row, kind, item }: { row: Job; kind: RunTestKind; item: string }) {
  const { id } = row
  const quantity = QUANTITIES[kind]
  // The unit in which everybody reads it: V, rpm, s.
  const unit = (quantity && unitsOf(quantity)[0]) ?? ''
  const figure = publishedFigure(kind, classOf(row))
  const last = resultOf(id, { kind, item })
  const form = useForm<Typed>({
    name: `test:${id}:${kind}:${item}`,
    blank: { name: item, value: '', cycles: '', outcome: null, words: '' },
    check: (typed) => read(kind, unit, typed).faults,
    save: (typed) =>
      typed.outcome &&
      recordRunTest({
        job_id: id,
        kind,
        item: kind === 'other' ? typed.name.trim() : item,
        outcome: typed.outcome,
        expected: figure ? rangeText(figure) : '',
        ...read(kind, unit, typed).made,
        words: typed.words.trim(),
      }),
    back: { at: 'job-tests', id },
  })
  const { field, fields } = form
  const value = read(kind, unit, fields).made.value
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
      after={fields.outcome === 'failed' && <Button wide label={t.finding} to={{ at: 'job-finding', id }} />}
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
      {value !== null && figure && isOutside(value, unit, figure) && <p role="status">{t.outside}</p>}
      {kind === 'bleed_cycles' && <TextField decimal label={t.cycles} {...field('cycles')} />}
      <RadioGroup horizontal label={t.outcome} options={OUTCOMES} {...field('outcome')} />
      <TextField multiline label={t.words} hint={t.why} {...field('words')} />
    </FormPage>
  )
}
