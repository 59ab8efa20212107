import { BUCKETS } from '../../../domain/billing/ageing'
import { owed as t } from '../../../domain/words/owed'
import type { OpenAmount } from '../../../store/owed'
import { buildPath } from '../../router'
import { format } from '../../shopFormat'
import { byCustomer, inBucket, sumOf } from './ageRows'
import './styles'

/** Customers by ages; each sum leads to its invoices, each name to the statement. */
export function AgeTable({ amounts }: { amounts: readonly OpenAmount[] }) {
  return (
    <div class="ageing-scroll">
      <table class="ageing">
        <thead>
          <tr>
            <th scope="col">{t.customer}</th>
            {BUCKETS.map((bucket) => (
              <th key={bucket} scope="col">
                {t.buckets[bucket]}
              </th>
            ))}
            <th scope="col">{t.sum}</th>
          </tr>
        </thead>
        <tbody>
          {byCustomer(amounts).map(({ id, name, own }) => (
            <AgeRow key={id} name={name} customerId={id} own={own} />
          ))}
        </tbody>
        <tfoot>
          <AgeRow name={t.all} own={amounts} />
        </tfoot>
      </table>
    </div>
  )
}

/** The sums of a customer, or of all, each of which leads to its invoices. */
function AgeRow({
  name,
  customerId,
  own,
}: {
  name: string
  customerId?: string
  own: readonly OpenAmount[]
}) {
  const { money } = format.value
  const of = customerId === undefined ? {} : { customerId }
  return (
    <tr>
      <th scope="row">
        {customerId === undefined ? (
          name
        ) : (
          <a href={buildPath({ at: 'statement', id: customerId })}>{name}</a>
        )}
      </th>
      {BUCKETS.map((bucket) => {
        const found = inBucket(own, bucket)
        return (
          <td key={bucket}>
            {found.length > 0 && (
              <a
                href={buildPath({ at: 'owed', ...of, bucket })}
                aria-label={t.cell(name, t.buckets[bucket], money(sumOf(found)))}
              >
                {money(sumOf(found))}
              </a>
            )}
          </td>
        )
      })}
      <td>
        <b>{money(sumOf(own))}</b>
      </td>
    </tr>
  )
}
