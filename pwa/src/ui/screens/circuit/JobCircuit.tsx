import { defaultCircuit, defaultFor } from '../../../domain/bench/defaultCircuits'
import type { Circuit, Job } from '../../../domain/contract'
import { circuit as t } from '../../../domain/words/circuit'
import { addCircuit, circuitsOf, observationsOf } from '../../../store/circuits'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List } from '../../components/List'
import { Caution, Section } from '../../components/Section'
import { Cautions } from '../../features/cautions/Cautions'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { useSaveOnce } from '../../useSaveOnce'
import { firstTest, recordRoute, useDiagnosis } from './diagnosis'
import { Found } from './Found'
import { NextTest } from './NextTest'
import { SeenList } from './SeenList'

/** The search for the fault in the start and kill circuit of a job's machine. */
export function JobCircuit({ id, circuitId }: { id: string; circuitId?: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const known = circuitsOf(row.machine_id)
  const shown = known.find((each) => each.id === circuitId) ?? known[0]
  return shown ? <Search key={shown.id} row={row} circuit={shown} known={known} /> : <NoCircuit row={row} />
}

function NoCircuit({ row }: { row: Job }) {
  const { busy, save } = useSaveOnce()
  const machineRow = machine(row.machine_id)
  const guess = defaultFor(machineRow?.kind ?? '')
  const kinds = (['geared', 'hydrostatic', 'zero_turn'] as const).filter((kind) => kind !== guess)
  const add = (kind: typeof guess) =>
    void (
      busy ||
      save(
        () => addCircuit({ machine_id: row.machine_id, name: t.defaultName, wiring: defaultCircuit(kind) }),
        () => {},
        t.added,
      )
    )
  return (
    <ShopPage
      overline={machineName(machineRow)}
      title={t.title}
      back={{ at: 'job-bench', id: row.id }}
      dock={
        <PrimaryButton label={t.kinds[guess]} hint={t.usualKind} busy={busy} onPress={() => add(guess)} />
      }
    >
      <List items={[]} keyOf={String} empty={t.none} emptyHint={t.noneHint}>
        {() => null}
      </List>
      <ButtonRow stacked>
        {kinds.map((kind) => (
          <Button wide key={kind} label={t.kinds[kind]} onPress={() => add(kind)} />
        ))}
      </ButtonRow>
    </ShopPage>
  )
}

function Search({ row, circuit, known }: { row: Job; circuit: Circuit; known: readonly Circuit[] }) {
  const seen = observationsOf(row.id, circuit.id)
  const diagnosis = useDiagnosis(circuit, seen)
  const next = diagnosis ? diagnosis.advice.tests[0] : undefined
  const test = diagnosis ? next?.test : firstTest(circuit.wiring)
  const other = { at: 'circuit-seen', id: row.id, circuitId: circuit.id } as const
  // What the act is about comes first: the next test, or what was found once that is enough.
  const found = diagnosis && <Found circuit={circuit} diagnosis={diagnosis} seen={seen} />
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={t.title}
      back={{ at: 'job-bench', id: row.id }}
      dock={
        diagnosis?.enough ? (
          <PrimaryButton label={t.makeFinding} to={{ at: 'job-finding', id: row.id }} />
        ) : test ? (
          <PrimaryButton label={t.record} to={recordRoute(row.id, circuit.id, test)} />
        ) : (
          <PrimaryButton label={t.recordOther} to={other} />
        )
      }
    >
      <Caution text={t.caution} />
      <Cautions job={row.id} codes={['running_engine', 'battery']} />
      {diagnosis?.enough && found}
      {!diagnosis && (
        <List items={[]} keyOf={String} empty={t.firstSee} emptyHint={t.firstSeeHint}>
          {() => null}
        </List>
      )}
      <NextTest circuit={circuit} test={test} rated={next} diagnosis={diagnosis} />
      {!diagnosis?.enough && found}
      <ButtonRow stacked>
        {diagnosis?.enough && test && (
          <Button wide label={t.record} to={recordRoute(row.id, circuit.id, test)} />
        )}
        {test && <Button wide label={t.recordOther} to={other} />}
        <Button wide label={t.edit} to={{ at: 'circuit', id: circuit.id, jobId: row.id }} />
      </ButtonRow>
      <SeenList circuit={circuit} seen={seen} />
      {known.length > 1 && (
        <Section title={t.editTitle}>
          <ButtonRow>
            {known.map(({ id, name }) => (
              <Button
                key={id}
                label={name}
                current={id === circuit.id}
                to={{ at: 'job-circuit', id: row.id, circuitId: id }}
              />
            ))}
          </ButtonRow>
        </Section>
      )}
    </ShopPage>
  )
}
