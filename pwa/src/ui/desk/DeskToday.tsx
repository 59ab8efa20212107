import { en } from '../../domain/words'
import { syncSummary } from '../../store/queue/queue'
import { permissions } from '../../store/session/session'
import { shopSession } from '../../store/session/shopSession'
import { Answers } from '../features/approval/Answers'
import { Clock } from '../features/clock/Clock'
import { ClockedToday } from '../features/clock/ClockedToday'
import { UnfinishedForms } from '../features/drafts/UnfinishedForms'
import { SharedWaiting } from '../features/pictures/SharedWaiting'
import { SetUpToday } from '../features/setUp/SetUpList'
import { UpdateNotice } from '../features/update/UpdateNotice'
import { MoneyWaiting, OnTheClock, RunsToday } from '../features/waits/OfficeSections'
import { WaitColumns } from '../features/waits/WaitColumns'
import { ShopPage } from '../ShopPage'
import { format, lastSyncAge, today } from '../shopFormat'

/** Today at the desk: the own clock, money that waits, what waits on whom, answers, who works on what, today's runs. */
export function DeskToday() {
  const old = lastSyncAge()
  return (
    <ShopPage
      variant="desk-today"
      title={format.value.longDay(today())}
      subtitle={old && <p>{en.app.stale(old)}</p>}
      badge={permissions.value.has('clock') && <ClockedToday />}
    >
      <UpdateNotice />
      {syncSummary.value.complete && permissions.value.has('edit_shop') && <SetUpToday />}
      <div class="desk-columns">
        <Clock jobId={null} />
        <div>
          <OnTheClock />
          <MoneyWaiting />
        </div>
        <RunsToday />
      </div>
      <SharedWaiting />
      {(shopSession.value?.drafts.value.size ?? 0) > 0 && <UnfinishedForms />}
      <Answers />
      <WaitColumns />
    </ShopPage>
  )
}
