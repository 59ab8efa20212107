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
      over={[owner?.name, its && machineName(machine(its.machine_id))].filter(Boolean).join(' · ')}
      title={row.kind === 'added' ? en.quote.builder.addedTitle : en.quote.builder.title}
      under={
        row.state === 'draft' && row.revision === 1
          ? undefined
          : [en.quote.states[row.state], row.revision > 1 && en.quote.builder.revision(row.revision)]
              .filter(Boolean)
              .join(' · ')
      }
      plate={<Plate words={shownName(row)} />}
      back={{ at: 'job', id: row.job_id }}
      dock={dock}
    >
      {children}
    </Sheet>
  )
}
