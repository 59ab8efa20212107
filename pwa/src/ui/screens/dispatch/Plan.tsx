import { useState } from 'preact/hooks'
import type { Rig } from '../../../domain/contract'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { trouble } from '../../../domain/words/breakdown'
import { rig as rigWords } from '../../../domain/words/rig'
import { latestPlan, rigs, runsOn, stopsWaiting, yard } from '../../../store/dispatch'
import { repairRig } from '../../../store/dispatchCommands'
import { syncSummary } from '../../../store/queue/queue'
import { members } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { SelectField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { aboutStop, clockText } from '../../features/dispatch/stopText'
import { RunRow } from '../../features/dispatch/TodayRuns'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { usePolling } from '../../usePolling'
import { PlanButton, PlanProgress } from './PlanProgress'
import { PlanResult } from './PlanResult'

const t = en.dispatch.plan

const AHEAD = 7

const WEEK = 5

/** The stops and rigs of a day; a plan is requested here, reviewed and applied. */
export function Plan() {
  const now = today()
  const [day, setDay] = useState(now)
  const [many, setMany] = useState(false)
  const plan = latestPlan(day)
  const going = plan?.state === 'waiting' || plan?.state === 'running'
  usePolling(going)
  const days = many ? Array.from({ length: WEEK }, (_, at) => daysAfter(day, at)) : [day]
  // A plan without a run changes nothing and cannot be applied.
  const ready = plan?.state === 'done' && plan.taken_at === null && (plan.answer?.runs.length ?? 0) > 0
  const runs = days.flatMap(runsOn)
  const words = (each: string) =>
    each === now ? t.today : each === daysAfter(now, 1) ? t.tomorrow : format.value.weekday(each)
  return (
    <ShopPage title={t.title} dock={<PlanButton plan={plan} going={going} ready={ready} days={days} />}>
      {!yard.value && <p class="multiline">{t.noYard}</p>}
      {syncSummary.value.signal === 'no' && <p class="multiline">{t.noSignal}</p>}
      {plan && <PlanProgress plan={plan} />}
      <RadioGroup
        horizontal
        label={t.days}
        value={many ? 'week' : 'day'}
        options={[
          { value: 'day', label: t.oneDay },
          { value: 'week', label: t.week },
        ]}
        onValueChange={(value) => setMany(value === 'week')}
      />
      <SelectField
        label={t.day}
        value={day}
        options={Array.from({ length: AHEAD }, (_, at) => daysAfter(now, at)).map(
          (each) => [each, words(each)] as const,
        )}
        onValueChange={setDay}
      />
      {plan?.answer && !plan.taken_at && <PlanResult answer={plan.answer} />}
      <Waiting />
      {runs.length > 0 && (
        <Section title={t.runs}>
          <List items={runs} keyOf={(row) => row.id} empty="">
            {(row) => <RunRow run={row} />}
          </List>
        </Section>
      )}
      <Section title={t.rigs}>
        <List items={rigs.value} keyOf={(row) => row.id} empty={t.noRigs} emptyHint={t.noRigsHint}>
          {(row) => <OnDuty rig={row} />}
        </List>
        <ButtonRow stacked>
          <Button wide label={t.addRig} to={{ at: 'new-rig' }} />
          <Button wide label={t.yard} to={{ at: 'yard' }} />
        </ButtonRow>
      </Section>
    </ShopPage>
  )
}

function OnDuty({ rig }: { rig: Rig }) {
  const driver = members.value.find(({ id }) => id === rig.driver_id)?.name ?? rigWords.noDriver
  return (
    <>
      <ListItem
        to={{ at: 'rig', id: rig.id }}
        title={rig.name}
        value={rig.out_at ? t.out : undefined}
        details={en.app.joined([
          driver,
          en.dispatch.between(clockText(rig.shift_opens), clockText(rig.shift_closes)),
          rig.out_at ? rig.out_note : undefined,
        ])}
      />
      {rig.out_at && (
        <ButtonRow stacked>
          <Button
            wide
            label={rigWords.runsAgain}
            hint={trouble.since(format.value.moment(rig.out_at))}
            onPress={() => void saveWithToast(() => repairRig(rig.id), trouble.backOnRoad)}
          />
        </ButtonRow>
      )}
    </>
  )
}

/** Stops that are on no run yet. */
function Waiting() {
  return (
    <Section title={t.waiting}>
      <List items={stopsWaiting.value} keyOf={(row) => row.id} empty={t.noWaiting}>
        {(row) => {
          const about = aboutStop(row)
          return (
            <ListItem
              to={{ at: 'stop', id: row.id }}
              title={about.name}
              value={en.dispatch.kinds[row.kind]}
              details={en.app.joined([
                machineName(about.machine),
                about.site?.label,
                row.priority === 'usual' ? undefined : en.dispatch.priorities[row.priority],
                row.promised_on
                  ? `${en.dispatch.stop.promised} ${format.value.weekday(row.promised_on)}`
                  : undefined,
              ])}
            />
          )
        }}
      </List>
    </Section>
  )
}
