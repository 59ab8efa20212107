import { useState } from 'preact/hooks'
import type { Run as RunRow, Stop } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { nextStop, run, stopsOfRun } from '../../../store/dispatch'
import { endRun, printRun, runSheetOf, startRun } from '../../../store/dispatchCommands'
import { permissions } from '../../../store/session/session'
import { members } from '../../../store/shop'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Caution, Section } from '../../components/Section'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { aboutStop, rigName, runText } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { ReplanProposal } from './ReplanProposal'
import { RouteCheckResult } from './RouteCheckResult'
import { RunActions } from './RunActions'
import { DeckDrawings, LoadMargins } from './RunLoad'
import { RunMap } from './RunMap'
import { RunStop } from './RunStop'

const t = en.dispatch.run

/** One run: its stops in order, load margins, map and deck. Everything works without a signal. */
export function Run({ id }: { id: string }) {
  const row = run(id)
  if (!row) return <NotFound />
  const stops = stopsOfRun(id)
  const { time } = format.value
  const driver = members.value.find((member) => member.id === row.driver_id)?.name ?? t.noDriver
  return (
    <ShopPage
      overline={en.app.joined([format.value.weekday(row.day), en.dispatch.runStates[row.state], driver])}
      title={t.title(rigName(row.rig_id))}
      subtitle={
        <>
          {row.leaves_at && row.home_at && <p>{t.times(time(row.leaves_at), time(row.home_at))}</p>}
          {row.metres !== null && row.drive_seconds !== null && <p>{runText(row)}</p>}
        </>
      }
      dock={<RunButton row={row} stops={stops} />}
    >
      {row.state === 'locked' && <p class="multiline">{t.isLocked}</p>}
      {(row.state === 'planned' || row.state === 'locked') && <Caution text={t.startCaution} />}
      <RouteCheckResult run={row} />
      <ReplanProposal run={row} />
      <Section title={t.stops}>
        {stops.length === 0 && (
          <div class="empty-state">
            <b>{t.noStops}</b>
            <p>{t.noStopsHint}</p>
          </div>
        )}
        <ol class="stop-list">
          {stops.map((stop, at) => (
            <li key={stop.id}>
              <RunStop run={row} stop={stop} number={at + 1} stops={stops} />
            </li>
          ))}
        </ol>
      </Section>
      <RunMap stops={stops} />
      <LoadMargins run={row} />
      <DeckDrawings run={row} stops={stops} />
      {stops.length > 0 && (
        <PrintButtons
          words={en.dispatch.printouts.sheet}
          openWords={en.dispatch.printouts.openSheet}
          printout={runSheetOf(id)}
          onAsk={() => printRun(id)}
        />
      )}
      <RunActions row={row} />
    </ShopPage>
  )
}

/** The main button: leave, next stop, back at the yard. */
function RunButton({ row, stops }: { row: RunRow; stops: readonly Stop[] }) {
  // That a run of another day leaves today is a choice of its own.
  const [chosen, setChosen] = useState(false)
  if (!permissions.value.has('drive_runs') || row.state === 'done' || row.state === 'cancelled') return null
  const next = nextStop(row.id)
  if (row.state === 'planned' || row.state === 'locked') {
    if (stops.length === 0) return null
    if (row.day !== today() && !chosen)
      return (
        <>
          <p role="status">{t.otherDay(format.value.weekday(row.day))}</p>
          <ButtonRow>
            <Button label={t.startOther} onPress={() => setChosen(true)} />
          </ButtonRow>
        </>
      )
    return (
      <PrimaryButton
        label={t.start}
        hint={row.day === today() ? t.startHint : t.otherDay(format.value.weekday(row.day))}
        onPress={() => void saveWithToast(() => startRun(row.id))}
      />
    )
  }
  if (next)
    return <PrimaryButton label={t.goOn} hint={aboutStop(next).name} to={{ at: 'stop', id: next.id }} />
  return (
    <PrimaryButton
      label={t.end}
      hint={t.endHint}
      onPress={() => void saveWithToast(() => endRun(row.id), t.ended)}
    />
  )
}
