import type { SafetyItem } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { conditions, safetyItems as t } from '../../../domain/words/safetyItems'
import { offeredQuoteFor } from '../../../store/approvalRequests'
import { customer } from '../../../store/customers'
import { acknowledgementsOf, finding, safetyItem, whyOpen } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { removeSafetyItem } from '../../../store/safetyItems'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Caution, DescriptionList } from '../../components/Section'
import { Pictures } from '../../features/pictures/Pictures'
import { deviceName, itemState, itemStateText } from '../../features/safety/itemText'
import { NotFound } from '../../NotFound'
import { memberName } from '../../names'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'
import { Disclosures, PartSearches, Trials } from './SafetyItemHistory'

/** A safety item: what is wrong, what was done about it, and its ways out. */
export function SafetyItemView({ id }: { id: string }) {
  const row = safetyItem(id)
  if (!row) return <NotFound />
  const state = itemState(row)
  const jobRow = job(row.job_id)
  return (
    <ShopPage
      overline={(jobRow && customer(jobRow.customer_id)?.name) ?? ''}
      title={deviceName(row.device)}
      back={{ at: 'job', id: row.job_id }}
      dock={
        state === 'repaired' ? (
          <Button wide label={t.reopen.action} to={{ at: 'safety-item-reopen', id }} />
        ) : (
          <PrimaryButton label={t.repair.action} to={{ at: 'safety-item-repair', id }} />
        )
      }
    >
      {state !== 'repaired' && <Caution text={t.caution} />}
      <Facts row={row} />
      <WaysOut row={row} />
      <Pictures about_kind="safety_item" about_id={id} />
      <Trials row={row} />
      <PartSearches row={row} />
      <Disclosures row={row} />
    </ShopPage>
  )
}

function Facts({ row }: { row: SafetyItem }) {
  const { condition, protection_lost, interim, noted_by_id, created_at, finding_id } = row
  const found = finding(finding_id)
  const open = found && whyOpen(found)
  return (
    <>
      <DescriptionList
        items={[
          [t.state, en.app.joined([itemStateText(row), !row.repaired && open ? en.safety.open[open] : ''])],
          [t.condition, conditions[condition]],
          [t.lost, protection_lost],
          [t.interimNow, interim],
          [t.found, t.foundBy(noted_by_id ? memberName(noted_by_id) : '', format.value.moment(created_at))],
        ]}
      />
      {open === 'no_bypass' && !row.repaired && <p class="multiline">{t.noBypass}</p>}
    </>
  )
}

/** What can be done besides the repair. */
function WaysOut({ row }: { row: SafetyItem }) {
  const { id, finding_id, repaired } = row
  const found = finding(finding_id)
  const asked = found && offeredQuoteFor(found)
  const untouched = !row.trials.length && !row.part_search.length && !acknowledgementsOf(finding_id).length
  async function remove() {
    const removed = await saveWithToast(() => removeSafetyItem(row))
    if (!removed) return
    showToast(t.removed)
    navigate({ at: 'job', id: row.job_id }, { replace: true })
  }
  return (
    <ButtonRow stacked>
      {!repaired && (
        <>
          {asked ? (
            <Button wide label={en.asking.asked} to={{ at: 'quote', id: asked }} />
          ) : (
            <Button
              wide
              label={en.asking.more}
              hint={en.asking.moreHint}
              to={{ at: 'finding-ask', id: finding_id }}
            />
          )}
          <Button wide label={en.safety.knows} to={{ at: 'finding-acknowledge', id: finding_id }} />
          <Button wide label={t.search.action} to={{ at: 'safety-item-search', id }} />
        </>
      )}
      <Button wide label={t.edit} to={{ at: 'safety-item-edit', id }} />
      <Button wide label={t.finding} to={{ at: 'finding', id: finding_id }} />
      {untouched && <Button wide label={t.remove} onPress={() => void remove()} />}
    </ButtonRow>
  )
}
