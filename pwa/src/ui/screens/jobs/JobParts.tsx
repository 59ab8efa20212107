import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { PART_STATES, type PartOfJob, partsOfJob } from '../../../store/partsOfJob'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

const t = en.jobParts

/** The parts of a job by where they stand: approved first. */
export function JobParts({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const parts = partsOfJob(id)
  return (
    <ShopPage
      overline={customer(row.customer_id)?.name || en.app.noName}
      title={t.title}
      back={{ at: 'job', id }}
    >
      {!parts.length && (
        <List items={[]} keyOf={String} empty={t.empty} emptyHint={t.emptyHint}>
          {() => null}
        </List>
      )}
      {PART_STATES.map((state) => {
        const own = parts.filter((part) => part.state === state)
        return (
          own.length > 0 && (
            <Section key={state} title={t.states[state]} end={own.length}>
              <List items={own} keyOf={({ line }) => line.id} empty="">
                {(part) => <PartRow {...part} />}
              </List>
            </Section>
          )
        )
      })}
    </ShopPage>
  )
}

function PartRow({ quote, line }: PartOfJob) {
  const price = priceLine(quote.basis, line)
  const { number, money } = format.value
  return (
    <ListItem
      to={
        quote.state === 'draft'
          ? { at: 'quote-line', id: quote.id, lineId: line.id }
          : { at: 'quote', id: quote.id }
      }
      title={line.words}
      value={t.count(number(line.quantity ?? '1'))}
      details={
        <>
          <Serial text={line.part_number} />
          {line.part_number && price && ' · '}
          {price && money(price.amount)}
        </>
      }
    />
  )
}
