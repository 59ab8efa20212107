import { useState } from 'preact/hooks'
import type { TimeEntry } from '../../../domain/contract'
import { msOfWallTimeBetween, wallTimeAt } from '../../../domain/labor/clock'
import { moment } from '../../../domain/time'
import { en } from '../../../domain/words'
import { permissions } from '../../../store/session/session'
import { entry, overlapping, settleBySplit, settleForFirst } from '../../../store/timeEntries'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Form } from '../../components/Form'
import { isOwn, listOf, spanText, workText } from '../../features/clock/timeEntryText'
import { NotFound } from '../../NotFound'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { zone } from '../../shopFormat'
import { useSaveOnce } from '../../useSaveOnce'
import { nameOf, TimeEntryCard } from './TimeEntryCard'

const t = en.clock

/** Settles two overlapping entries: one counts, or the first ends when the second began. */
export function SettleTime({ id }: { id: string }) {
  const row = entry(id)
  if (!row) return <NotFound />
  if (row.state !== 'disputed')
    return (
      <ShopPage title={t.settleDone} back={listOf(row.member_id)}>
        <TimeEntryCard row={row} />
      </ShopPage>
    )
  if (!isOwn(row.member_id) && !permissions.value.has('correct_time'))
    return (
      <ShopPage
        overline={nameOf(row)}
        title={t.settleTitle}
        subtitle={t.notYours}
        back={listOf(row.member_id)}
      >
        <TimeEntryCard row={row} />
      </ShopPage>
    )
  const other = overlapping(row)[0]
  return other ? <OverlapForm row={row} other={other} /> : <AnomalyForm row={row} />
}

function OverlapForm({ row, other }: { row: TimeEntry; other: TimeEntry }) {
  const [first, second] = row.started_at <= other.started_at ? [row, other] : [other, row]
  const { save: send } = useSaveOnce()
  const [time, setTime] = useState(() => wallTimeAt(zone.value, Date.parse(second.started_at)).time)
  const [errors, setErrors] = useState<{ time?: string }>({})
  const settle = (work: () => Promise<void>) =>
    void send(work, () => navigate(listOf(row.member_id), { replace: true }), t.settled)

  function split() {
    const day = wallTimeAt(zone.value, Date.parse(second.started_at)).day
    const ends = Math.min(second.ended_at === null ? Date.now() : Date.parse(second.ended_at), Date.now())
    const at = msOfWallTimeBetween(zone.value, { day, time }, Date.parse(first.started_at), ends)
    if (at === null) return setErrors({ time: t.splitOutside })
    // A time equal to the start of the second entry to the minute stands for its exact start.
    const began = Date.parse(second.started_at)
    const exact = at === began - (began % 60_000) ? second.started_at : moment(at)
    settle(() => settleBySplit(first.id, second.id, exact))
  }
  return (
    <ShopPage
      overline={nameOf(row)}
      title={t.settleTitle}
      subtitle={t.settleHint}
      back={listOf(row.member_id)}
      dock={<PrimaryButton label={t.split} form="split" />}
    >
      <div class="comparison">
        {[first, second].map((each) => (
          <TimeEntryCard key={each.id} row={each}>
            <ButtonRow stacked>
              <Button
                wide
                label={t.holds}
                ariaLabel={`${t.holds}: ${workText(each)}`}
                onPress={() => settle(() => settleForFirst(each.id, each === first ? second.id : first.id))}
              />
            </ButtonRow>
          </TimeEntryCard>
        ))}
      </div>
      <Form id="split" errors={errors} onSubmit={split}>
        <TextField type="time" label={t.gaveWay} value={time} error={errors.time} onValueChange={setTime} />
      </Form>
    </ShopPage>
  )
}

function AnomalyForm({ row }: { row: TimeEntry }) {
  const { save: send } = useSaveOnce()
  return (
    <ShopPage
      overline={nameOf(row)}
      title={t.fixTitle}
      subtitle={row.anomaly && t.anomalies[row.anomaly]}
      back={listOf(row.member_id)}
      dock={
        <PrimaryButton
          label={isOwn(row.member_id) ? t.stoppedAt : t.stoppedAtTheirs}
          to={{ at: 'time-fix', id: row.id }}
        />
      }
    >
      <TimeEntryCard row={row} />
      {row.anomaly === 'clock_set' && row.device_started_at !== null && (
        <p>
          {t.phoneShowed(
            spanText({ ...row, started_at: row.device_started_at, ended_at: row.device_ended_at }),
          )}
        </p>
      )}
      {row.anomaly !== 'ends_first' && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.asItIs}
            onPress={() =>
              void send(
                () => settleForFirst(row.id, null),
                () => navigate(listOf(row.member_id), { replace: true }),
                t.settled,
              )
            }
          />
        </ButtonRow>
      )}
    </ShopPage>
  )
}
