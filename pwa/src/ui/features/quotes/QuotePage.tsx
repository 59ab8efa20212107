import type { ComponentChildren } from 'preact'
import type { Quote } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Badge } from '../../components/Section'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'

interface Props {
  row: Quote
  /** Where it is not the quote itself. */
  title?: string
  dock: ComponentChildren
  children: ComponentChildren
}

/** The page that all views of a quote share: customer, machine, quote number. */
export function QuotePage({ row, title, dock, children }: Props) {
  const jobRow = job(row.job_id)
  const customerRow = jobRow && customer(jobRow.customer_id)
  return (
    <ShopPage
      overline={customerRow?.name ?? ''}
      title={title ?? (row.kind === 'added' ? en.quote.builder.addedTitle : en.quote.builder.title)}
      subtitle={
        <>
          <p>{jobRow && machineName(machine(jobRow.machine_id))}</p>
          {(row.state !== 'draft' || row.revision > 1) && (
            <p>
              <b>{en.quote.states[row.state]}</b>
              {row.revision > 1 && ` · ${en.quote.builder.revision(row.revision)}`}
            </p>
          )}
        </>
      }
      badge={<Badge text={shownName(row)} />}
      back={{ at: 'job', id: row.job_id }}
      dock={dock}
    >
      {children}
    </ShopPage>
  )
}
