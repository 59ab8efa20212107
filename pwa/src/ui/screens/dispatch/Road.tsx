import { en } from '../../../domain/words'
import { stopsWaiting } from '../../../store/dispatch'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { OwnRuns, RunLists } from '../../features/dispatch/TodayRuns'
import { ShopPage } from '../../ShopPage'

const t = en.dispatch.today

/** Pickups, returns and visits: the member's own run, the runs of today and tomorrow, and what plans them. */
export function Road() {
  const plans = permissions.value.has('plan_runs')
  const waiting = stopsWaiting.value.length
  return (
    <ShopPage title={en.app.places.road}>
      <OwnRuns />
      <RunLists />
      <ButtonRow stacked>
        {plans && (
          <Button
            wide
            label={t.plan}
            hint={waiting > 0 ? t.waiting(waiting) : undefined}
            to={{ at: 'plan' }}
          />
        )}
        {permissions.value.has('drive_runs') && <Button wide label={t.urgent} to={{ at: 'urgent' }} />}
        <Button wide label={en.dispatch.findTag} to={{ at: 'tag' }} />
      </ButtonRow>
    </ShopPage>
  )
}
