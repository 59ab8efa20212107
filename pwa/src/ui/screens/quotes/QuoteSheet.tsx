import type { ComponentChildren } from 'preact'
import { shownName } from '../../../domain/marks'
import type { Quote } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Plate } from '../../components/Part'
import { machineName } from '../names'
import { Sheet } from '../Sheet'

interface Props {
  row: Quote
  dock: ComponentChildren
  children: ComponentChildren
}

/** The sheet every view of a quote shares: whose it is, for which machine, under which mark. */
export function QuoteSheet({ row, dock, children }: Props) {
  const its = job(row.job_id)
  const owner = its && customer(its.customer_id)
  return (
    <Sheet
      over={owner?.name ?? ''}
      title={row.kind === 'added' ? en.quote.builder.addedTitle : en.quote.builder.title}
      under={
        <>
          <p>{its && machineName(machine(its.machine_id))}</p>
          {(row.state !== 'draft' || row.revision > 1) && (
            <p>
              <b>{en.quote.states[row.state]}</b>
              {row.revision > 1 && ` · ${en.quote.builder.revision(row.revision)}`}
            </p>
          )}
        </>
      }
      plate={<Plate words={shownName(row)} />}
      back={{ at: 'job', id: row.job_id }}
      dock={dock}
    >
      {children}
    </Sheet>
  )
}
