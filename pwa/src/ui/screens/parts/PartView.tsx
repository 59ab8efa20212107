import type { PartNeed } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { partStates, parts as t } from '../../../domain/words/parts'
import { finding } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { fitPart, isAboveUnseen, partNeed, priceNow } from '../../../store/partNeeds'
import { linesToCome, orderOfNeed } from '../../../store/partOrders'
import { permissions } from '../../../store/session/session'
import { supplier } from '../../../store/suppliers'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Caution, DescriptionList } from '../../components/Section'
import { aboveText, PartNumber } from '../../features/parts/partText'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { orderRoute } from './orderRoute'
import { Moves } from './PartMoves'
import { Searches } from './Searches'

/** A part that a job needs: what it is, how far it is, and what comes next. */
export function PartView({ id }: { id: string }) {
  const row = partNeed(id)
  if (!row) return <NotFound />
  const above = row.state === 'fitted' ? '' : aboveText(row)
  const found = machine(job(row.job_id)?.machine_id ?? '')
  return (
    <ShopPage
      overline={machineName(found)}
      title={row.description}
      back={{ at: 'job-parts', id: row.job_id }}
      dock={<Dock row={row} above={above} />}
    >
      {above && <Caution text={above} />}
      {above && !isAboveUnseen(row) && <AskFirst row={row} />}
      <Facts row={row} />
      {row.finding_id && finding(row.finding_id) && (
        <ListItem
          title={t.finding}
          details={finding(row.finding_id)?.words}
          to={{ at: 'finding', id: row.finding_id }}
        />
      )}
      <OnOrder id={id} />
      <Moves row={row} />
      <Searches row={row} />
      <Pictures about_kind="part_need" about_id={id} />
    </ShopPage>
  )
}

/** The order that the part is on. */
function OnOrder({ id }: { id: string }) {
  const order = orderOfNeed(id)
  return order ? (
    <ListItem
      title={`${t.onOrder} ${shownName(order)}`}
      details={supplier(order.supplier_id)?.name}
      to={{ at: 'part-order', id: order.id }}
    />
  ) : null
}

/** What comes next: ordering it, recording that it came, fitting it. Fitting is offered in every state but two. */
function Dock({ row, above }: { row: PartNeed; above: string }) {
  if (row.state === 'fitted' || row.state === 'sent_back')
    return <Button wide label={t.edit} to={{ at: 'part-edit', id: row.id }} />
  const fit = {
    label: above ? t.fitAnyway : t.fit,
    onPress: () => void saveWithToast(() => fitPart(row.id), t.fittedNow),
  }
  const next = nextAct(row)
  if (!next) return <PrimaryButton {...fit} />
  return (
    <div class="dock-pair">
      <Button {...fit} />
      <PrimaryButton {...next} />
    </div>
  )
}

/** What comes before fitting it: ordering it, or recording what came of its order. */
function nextAct(row: PartNeed): { label: string; to: Route } | undefined {
  const order = orderRoute([row])
  if (order) return { label: t.order, to: order }
  const line = linesToCome().find(({ need_id }) => need_id === row.id)
  return line && { label: t.cameNow, to: { at: 'part-arrival', id: line.id } }
}

function AskFirst({ row }: { row: PartNeed }) {
  const to = row.finding_id
    ? ({ at: 'finding-ask', id: row.finding_id } as const)
    : ({ at: 'job', id: row.job_id } as const)
  return (
    <ButtonRow stacked>
      <Button wide label={t.ask} to={to} />
    </ButtonRow>
  )
}

function Facts({ row }: { row: PartNeed }) {
  const { money, number, moment } = format.value
  const engine = machine(job(row.job_id)?.machine_id ?? '')
  const now = priceNow(row)
  const amount = (minor: number | null) => minor !== null && money(minor)
  return (
    <DescriptionList
      items={[
        [t.state, partStates[row.state]],
        [t.fitted, row.fitted_at && moment(row.fitted_at)],
        [t.number, (row.number || row.superseded_by) && <PartNumber row={row} />],
        [t.quantity, number(row.quantity)],
        [t.engine, engine && [engine.engine_make, engine.engine_model].filter(Boolean).join(' ')],
        [t.supplier, row.supplier_id && supplier(row.supplier_id)?.name],
        [t.agreed, amount(row.agreed_minor)],
        [t.priceNow, now !== row.agreed_minor && amount(now)],
        [t.cost, permissions.value.has('see_cost') && amount(row.cost_minor)],
        [t.core, row.core_minor > 0 && money(row.core_minor)],
        [t.bookPage, row.book_page],
        [t.note, row.note],
      ]}
    />
  )
}
