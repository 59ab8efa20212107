import { priceLists as t } from '../../../domain/words/stock'
import type { PriceListCheck } from '../../../store/priceLists'
import { List, ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { format } from '../../shopFormat'

const number = (count: number) => format.value.number(String(count))

/** What an import would do, and which rows of the file it cannot read. */
export function PriceListResult({ check }: { check: PriceListCheck }) {
  const cost = (minor: number | null) => (minor === null ? t.noCost : format.value.money(minor))
  return (
    <>
      <Section title={t.would}>
        <DescriptionList
          items={(['new', 'changed', 'same', 'gone', 'broken'] as const).map((name) => [
            t.counts[name],
            number(check[name]),
          ])}
        />
        {check.notices.map((notice) => (
          <p class="hint" key={notice}>
            {notice}
          </p>
        ))}
      </Section>
      {check.broken_rows.length > 0 && (
        <Section title={t.broken}>
          <List
            items={check.broken_rows}
            keyOf={({ row, field, code }) => `${row} ${field} ${code}`}
            empty=""
            most={10}
          >
            {(fault) => <ListItem title={t.row(fault.row, fault.number)} details={fault.words} />}
          </List>
        </Section>
      )}
      {check.catalog_costs.length > 0 && (
        <Section title={t.costs}>
          <List items={check.catalog_costs} keyOf={(each) => each.catalog_part_id} empty="" most={10}>
            {(each) => (
              <ListItem
                to={{ at: 'catalog-part', id: each.catalog_part_id }}
                title={[each.number, each.description].filter(Boolean).join(' ')}
                details={t.costNow(cost(each.cost_minor), cost(each.listed_minor))}
              />
            )}
          </List>
        </Section>
      )}
    </>
  )
}
