import type { Chain } from '../../../domain/bench/circuitChanges'
import type { Circuit, CircuitModel, KillBy } from '../../../domain/contract'
import { circuit as t } from '../../../domain/words/circuit'
import { circuit, editCircuit, removeCircuit } from '../../../store/circuits'
import { machine } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import type { Route } from '../../router'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { partName } from './diagnosis'

const KILL_BYS = (['ground', 'feed'] as const).map((value) => ({ value, label: t.killBys[value] }))

/** A circuit: its ways, each a screen of its own, and the figures of a search. */
export function CircuitForm({ id, jobId }: { id: string; jobId?: string }) {
  const row = circuit(id)
  const seen = useOriginal(`circuit:${id}`, row)
  return row && seen ? <Fields row={row} seen={seen} {...(jobId && { jobId })} /> : <NotFound />
}

interface CircuitFields {
  name: string
  killBy: KillBy
  minutes: string
  usual: string
  shaken: string
}

const isWhole = (text: string, least: number, most: number) =>
  /^\d{1,3}$/.test(text.trim()) && Number(text) >= least && Number(text) <= most

function Fields({ row, seen, jobId }: { row: Circuit; seen: Circuit; jobId?: string }) {
  const { wiring } = seen
  const form = useForm<CircuitFields>({
    name: `circuit:${row.id}`,
    blank: {
      name: seen.name,
      killBy: wiring.kill_by,
      minutes: `${wiring.minutes}`,
      usual: `${wiring.pass_percents.usual}`,
      shaken: `${wiring.pass_percents.shaken}`,
    },
    check: ({ name, minutes, usual, shaken }) => ({
      name: !name.trim() && t.missingName,
      minutes: !isWhole(minutes, 5, 600) && t.badNumber(5, 600),
      usual: !isWhole(usual, 1, 99) && t.badNumber(1, 99),
      shaken: !isWhole(shaken, 1, 99) && t.badNumber(1, 99),
    }),
    // Ways and parts may have changed on their own screens since: only these figures are set on what is there now.
    save: (fields) => editCircuit(row, { name: fields.name.trim(), wiring: withFigures(row.wiring, fields) }),
    back: jobId ? { at: 'job-circuit', id: jobId, circuitId: row.id } : { at: 'machine', id: row.machine_id },
  })
  return (
    <FormPage
      form={form}
      overline={machineName(machine(row.machine_id))}
      title={t.editTitle}
      saveLabel={t.saveNothing}
      before={
        <>
          <Ways row={row} chain="crank" {...(jobId && { jobId })} />
          <Ways row={row} chain="kill" {...(jobId && { jobId })} />
        </>
      }
      after={
        <ButtonRow stacked>
          <Button
            wide
            label={t.remove}
            onPress={() => void form.remove({ action: () => remove(row), text: t.removed })}
          />
        </ButtonRow>
      }
    >
      <TextField label={t.name} {...form.field('name')} />
      <RadioGroup label={t.killBy} options={KILL_BYS} {...form.field('killBy')} />
      <TextField label={t.minutes} {...form.field('minutes')} />
      <TextField label={t.usual} {...form.field('usual')} />
      <TextField label={t.shakenPercent} {...form.field('shaken')} />
    </FormPage>
  )
}

const withFigures = (
  wiring: CircuitModel,
  { killBy, minutes, usual, shaken }: CircuitFields,
): CircuitModel => ({
  ...wiring,
  kill_by: killBy,
  minutes: Number(minutes),
  pass_percents: { ...wiring.pass_percents, usual: Number(usual), shaken: Number(shaken) },
})

async function remove(row: Circuit) {
  await removeCircuit(row.id)
  return undefined
}

function Ways({ row, chain, jobId }: { row: Circuit; chain: Chain; jobId?: string }) {
  const ways = row.wiring[chain]
  const to = (way: number): Route => ({
    at: 'circuit-way',
    id: row.id,
    chain,
    way: `${way}`,
    ...(jobId && { jobId }),
  })
  return (
    <Section title={t.chains[chain]}>
      <List
        items={ways.map(({ contacts }, way) => ({ contacts, way }))}
        keyOf={({ way }) => `${way}`}
        empty="–"
      >
        {({ contacts, way }) => (
          <ListItem
            to={to(way)}
            title={t.way(way + 1)}
            details={contacts.map(({ part }) => partName(row.wiring, part)).join(' → ')}
          />
        )}
      </List>
      <ButtonRow>
        <Button label={t.addWay} to={to(ways.length)} />
      </ButtonRow>
    </Section>
  )
}
