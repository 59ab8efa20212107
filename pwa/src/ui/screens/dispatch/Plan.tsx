import { useState } from 'preact/hooks'
import type { PlanRequest, Rig } from '../../../domain/rows'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { rig as rigWords } from '../../../domain/words.rig'
import { trouble } from '../../../domain/words.trouble'
import {
  cancelPlan,
  latestPlan,
  mendRig,
  requestPlan,
  rigs,
  runsOn,
  stopsWaiting,
  takePlan,
  yard,
} from '../../../store/dispatch'
import { status } from '../../../store/queue'
import { permissions } from '../../../store/session'
import { members } from '../../../store/shop'
import { Choice } from '../../components/Choice'
import { Select } from '../../components/Field'
import { Part } from '../../components/Part'
import { Key, Keys, Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { useHurry } from '../../hurry'
import { figures, today } from '../../shopFigures'
import { saving } from '../../telling'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'
import { Answer } from './Answer'
import { aboutStop, clockWords } from './about'
import { RunRow } from './TodayRuns'

const its = en.dispatch.plan
const AHEAD = 7
const WEEK = 5

/** What is to be driven and with what; the plan is asked for here, looked at, and taken. */
export function Plan() {
  const now = today()
  const [day, setDay] = useState(now)
  const [many, setMany] = useState(false)
  const plan = latestPlan(day)
  const going = plan?.state === 'waiting' || plan?.state === 'running'
  useHurry(going)
  if (!permissions.value.has('plan_runs')) return <Nowhere />
  const days = many ? Array.from({ length: WEEK }, (_, at) => daysAfter(day, at)) : [day]
  // A plan without a run changes nothing: there is nothing to take.
  const ready = plan?.state === 'done' && plan.taken_at === null && (plan.answer?.runs.length ?? 0) > 0
  const runs = days.flatMap(runsOn)
  const words = (each: string) =>
    each === now ? its.today : each === daysAfter(now, 1) ? its.tomorrow : figures.value.weekday(each)
  return (
    <Sheet
      title={its.title}
      back={{ at: 'today' }}
      dock={<Main plan={plan} going={going} ready={ready} days={days} />}
    >
      {!yard.value && <p class="lines">{its.noYard}</p>}
      {status.value.signal === 'no' && <p class="lines">{its.noSignal}</p>}
      {plan && <Standing plan={plan} />}
      <Choice
        across
        label={its.days}
        value={many ? 'week' : 'day'}
        options={[
          { value: 'day', words: its.oneDay },
          { value: 'week', words: its.week },
        ]}
        onValue={(value) => setMany(value === 'week')}
      />
      <Select
        label={its.day}
        value={day}
        options={Array.from({ length: AHEAD }, (_, at) => daysAfter(now, at)).map(
          (each) => [each, words(each)] as const,
        )}
        onValue={setDay}
      />
      {plan?.answer && !plan.taken_at && <Answer answer={plan.answer} />}
      <Part title={its.waiting}>
        <Rows items={stopsWaiting.value} keyOf={(row) => row.id} empty={its.noWaiting}>
          {(row) => {
            const about = aboutStop(row)
            return (
              <Row
                to={{ at: 'stop', id: row.id }}
                lead={about.name}
                figure={en.dispatch.kinds[row.kind]}
                also={en.app.joined([
                  machineName(about.machine),
                  about.site?.label,
                  row.priority === 'usual' ? undefined : en.dispatch.priorities[row.priority],
                  row.promised_on
                    ? `${en.dispatch.stop.promised} ${figures.value.weekday(row.promised_on)}`
                    : undefined,
                ])}
              />
            )
          }}
        </Rows>
      </Part>
      {runs.length > 0 && (
        <Part title={its.runs}>
          <Rows items={runs} keyOf={(row) => row.id} empty="">
            {(row) => <RunRow run={row} />}
          </Rows>
        </Part>
      )}
      <Part title={its.rigs}>
        <Rows items={rigs.value} keyOf={(row) => row.id} empty={its.noRigs} emptyHint={its.noRigsHint}>
          {(row) => <OnDuty rig={row} />}
        </Rows>
        <Keys tall>
          <Key wide words={its.addRig} to={{ at: 'new-rig' }} />
          <Key wide words={its.yard} to={{ at: 'yard' }} />
        </Keys>
      </Part>
    </Sheet>
  )
}

function OnDuty({ rig }: { rig: Rig }) {
  const driver = members.value.find(({ id }) => id === rig.driver_id)?.name ?? rigWords.noDriver
  return (
    <>
      <Row
        to={{ at: 'rig', id: rig.id }}
        lead={rig.name}
        figure={rig.out_at ? its.out : undefined}
        also={en.app.joined([
          driver,
          en.dispatch.between(clockWords(rig.shift_opens), clockWords(rig.shift_closes)),
          rig.out_at ? rig.out_note : undefined,
        ])}
      />
      {rig.out_at && (
        <Keys tall>
          <Key
            wide
            words={rigWords.mend}
            hint={trouble.since(figures.value.moment(rig.out_at))}
            onPress={() => void saving(() => mendRig(rig.id), trouble.mended)}
          />
        </Keys>
      )}
    </>
  )
}

/** How far a planning is, in words. */
function Standing({ plan }: { plan: PlanRequest }) {
  const percent = figures.value.percent(String(Math.floor(plan.permille / 10)))
  const told = {
    waiting: its.queued,
    running: its.running(percent),
    done: plan.taken_at ? its.taken : '',
    failed: [its.failed, plan.error].filter(Boolean).join(': '),
    cancelled: its.cancelled,
  }[plan.state]
  return (
    <p class="lines" role="status">
      <b>{told}</b>
    </p>
  )
}

interface MainProps {
  plan: PlanRequest | undefined
  going: boolean
  ready: boolean
  days: string[]
}

function Main({ plan, going, ready, days }: MainProps) {
  // On the road already: the rest of the day is planned from where the rigs are.
  const fromNow =
    days.length === 1 && days[0] === today() && runsOn(today()).some((row) => row.state === 'driving')
  const ask = () => void saving(() => requestPlan(days, fromNow), its.asked)
  if (plan && going)
    return <Slab words={its.cancel} onPress={() => void saving(() => cancelPlan(plan.id), its.cancelled)} />
  if (plan && ready)
    return (
      <>
        <Keys>
          <Key words={its.anew} onPress={ask} />
        </Keys>
        <Slab
          words={its.take}
          hint={its.takeHint}
          onPress={() => void saving(() => takePlan(plan.id), its.tookIt)}
        />
      </>
    )
  if (!yard.value) return <Slab words={its.yard} to={{ at: 'yard' }} />
  if (rigs.value.length === 0) return <Slab words={its.addRig} to={{ at: 'new-rig' }} />
  return (
    <Slab
      words={its.ask}
      hint={fromNow ? its.askFromNow : its.askHint(stopsWaiting.value.length)}
      onPress={ask}
    />
  )
}
