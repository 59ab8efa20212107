import { DEVICES, type InterlockRow, OPPOSITE, ROWS } from '../../../domain/bench/interlockRows'
import type { MachineClass } from '../../../domain/bench/runTests'
import type { Job } from '../../../domain/contract'
import { testing } from '../../../domain/words/testing'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { circuitOf, classOf, expectedOf, recordRunTest, resultOf } from '../../../store/runTests'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { Caution, Section } from '../../components/Section'
import { Cautions } from '../../features/cautions/Cautions'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { saveWithToast } from '../../toast'
import { useDraft } from '../../useDraft'

const t = testing.interlock
const CLASSES = (Object.keys(t.classes) as Exclude<MachineClass, 'other'>[]).map((value) => ({
  value,
  label: t.classes[value],
}))

/** The interlock table: each state with what has to happen, in one tap as expected or not. */
export function Interlocks({ id }: { id: string }) {
  const row = job(id)
  return row ? <Table row={row} /> : <NotFound />
}

function Table({ row }: { row: Job }) {
  const known = classOf(row)
  const { fields, update } = useDraft<{ chosen: MachineClass }>(
    `interlocks:${row.id}`,
    { chosen: known },
    false,
  )
  const rows = ROWS[known === 'other' ? fields.chosen : known]
  const results = rows.map((item) => resultOf(row.id, { kind: 'interlock', item }))
  const passed = results.filter((result) => result?.outcome === 'passed').length
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={testing.kinds.interlock}
      back={{ at: 'job-tests', id: row.id }}
      dock={
        <PrimaryButton
          label={testing.title}
          hint={testing.asExpected(passed, rows.length)}
          to={{ at: 'job-tests', id: row.id }}
        />
      }
    >
      <Cautions job={row.id} codes={['running_engine']} />
      <Caution text={t.caution} />
      <p class="hint">{testing.hint}</p>
      {circuitOf(row) && <p class="hint">{t.byCircuit(circuitOf(row)?.name ?? '')}</p>}
      {known === 'other' && (
        <RadioGroup
          horizontal
          label={t.which}
          options={CLASSES}
          value={fields.chosen === 'other' ? null : fields.chosen}
          onValueChange={(chosen) => update({ chosen })}
        />
      )}
      {rows.map((item) => (
        <Row key={item} job={row} item={item} />
      ))}
    </ShopPage>
  )
}

function Row({ job: row, item }: { job: Job; item: InterlockRow }) {
  const result = resultOf(row.id, { kind: 'interlock', item })
  const expected = expectedOf(row, item)
  const say = (outcome: 'passed' | 'failed') => () =>
    result?.outcome !== outcome &&
    void saveWithToast(() =>
      recordRunTest({
        job_id: row.id,
        kind: 'interlock',
        item,
        outcome,
        expected,
        seen: outcome === 'passed' ? expected : OPPOSITE[expected],
      }),
    )
  const failed = result?.outcome === 'failed'
  return (
    <Section title={t.rows[item]}>
      <ListItem
        title={t.expected(t.behaviors[expected])}
        value={failed && t.seen(t.behaviors[OPPOSITE[expected]])}
      />
      <ButtonRow>
        <Button
          label={t.yes}
          ariaLabel={`${t.yes}: ${t.rows[item]}`}
          pressed={result?.outcome === 'passed'}
          onPress={say('passed')}
        />
        <Button
          label={t.no}
          ariaLabel={`${t.no}: ${t.rows[item]}`}
          pressed={failed}
          onPress={say('failed')}
        />
      </ButtonRow>
      {failed && (
        <>
          <Caution text={t.failed} />
          <Button
            wide
            label={t.report}
            to={{ at: 'job-safety-item', id: row.id, device: DEVICES[item] ?? '' }}
          />
        </>
      )}
    </Section>
  )
}
