import type { Job, PartNeed } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words'
import { partStates, parts as t } from '../../../domain/words/parts'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { fitParts, needLine, needOfLine, partNeedsOf } from '../../../store/partNeeds'
import { orderOfNeed } from '../../../store/partOrders'
import { type PartOfJob, partsOfJob } from '../../../store/partsOfJob'
import { supplier } from '../../../store/suppliers'
import { Button, PrimaryButton } from '../../components/Button'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { aboveText, NeedRow } from '../../features/parts/partText'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { orderRoute } from './orderRoute'

const GROUPS: readonly (readonly [title: string, states: readonly PartNeed['state'][]])[] = [
  [t.groups.wanted, ['wanted']],
  [t.groups.noLongerMade, ['no_longer_made']],
  [t.groups.onTheWay, ['ordered', 'back_ordered']],
  [t.groups.here, ['arrived', 'from_stock']],
  [t.groups.fitted, ['fitted']],
  [t.groups.over, ['sent_back', 'cancelled']],
]

/** The parts that a job needs, by how far they are; below them what its quotes have besides. */
export function JobParts({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const needs = partNeedsOf(id)
  const offered = partsOfJob(id).filter(({ line }) => !needOfLine(line.id))
  return (
    <ShopPage
      overline={customer(row.customer_id)?.name || en.app.noName}
      title={t.title}
      back={{ at: 'job', id }}
      dock={<Dock id={id} needs={needs} />}
    >
      {!needs.length && !offered.length && (
        <List items={[]} keyOf={String} empty={t.empty} emptyHint={t.emptyHint}>
          {() => null}
        </List>
      )}
      {GROUPS.map(([title, states]) => {
        const own = needs.filter(({ state }) => states.includes(state))
        return (
          own.length > 0 && (
            <Section key={title} title={title} end={own.length}>
              <List items={own} keyOf={(need) => need.id} empty="">
                {(need) => <NeedRow row={need} details={detailsOf(need, states.length > 1)} />}
              </List>
              {title === t.groups.here && <AllFitted needs={own} />}
            </Section>
          )
        )
      })}
      <Offered row={row} offered={offered} />
    </ShopPage>
  )
}

/** Ordering what is to be ordered, else adding a part. */
function Dock({ id, needs }: { id: string; needs: readonly PartNeed[] }) {
  const order = orderRoute(needs)
  const to = { at: 'new-part', id } as const
  if (!order) return <PrimaryButton label={t.add} to={to} />
  return (
    <div class="dock-pair">
      <Button label={t.add} to={to} />
      <PrimaryButton label={t.orderThese} to={order} />
    </div>
  )
}

/** Fits all parts that are here in one press; not where one is dearer than agreed: its row and its own screen say so. */
function AllFitted({ needs }: { needs: readonly PartNeed[] }) {
  if (needs.length < 2 || needs.some(aboveText)) return null
  const fit = () => fitParts(needs.map(({ id }) => id))
  return <Button wide label={t.allFitted} onPress={() => void saveWithToast(fit, t.fittedNow)} />
}

function detailsOf(need: PartNeed, mixed: boolean): string {
  const { id, state, supplier_id } = need
  const order = state === 'wanted' ? orderOfNeed(id) : undefined
  return [
    mixed && partStates[state],
    supplier_id && supplier(supplier_id)?.name,
    order?.state === 'draft' && `${t.onOrder} ${shownName(order)}`,
    state !== 'fitted' && aboveText(need),
  ]
    .filter(Boolean)
    .join(' · ')
}

/** Parts on quotes that nobody put on the list; one press does. */
function Offered({ row, offered }: { row: Job; offered: readonly PartOfJob[] }) {
  if (!offered.length) return null
  return (
    <Section title={t.onQuotes} end={offered.length} hint={t.onQuotesHint}>
      <List items={offered} keyOf={({ line }) => line.id} empty="">
        {(part) => <OfferedRow row={row} part={part} />}
      </List>
    </Section>
  )
}

function OfferedRow({ row, part: { quote, line, state } }: { row: Job; part: PartOfJob }) {
  const price = priceLine(quote.basis, line)
  const { number, money } = format.value
  const to =
    quote.state === 'draft'
      ? ({ at: 'quote-line', id: quote.id, lineId: line.id } as const)
      : ({ at: 'quote', id: quote.id } as const)
  return (
    <OpeningItem
      title={line.words}
      value={t.count(number(line.quantity ?? '1'))}
      details={
        <>
          {t.lineStates[state]}
          {line.part_number && ' · '}
          <Serial text={line.part_number} />
          {price && ` · ${money(price.amount)}`}
        </>
      }
    >
      <ListItem title={en.job.showQuote} to={to} />
      <Button
        wide
        label={t.takeLine}
        onPress={() => void saveWithToast(() => needLine(row.id, line), t.taken)}
      />
    </OpeningItem>
  )
}
