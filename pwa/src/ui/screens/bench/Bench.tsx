import { bench as t } from '../../../domain/words/bench'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { List, ListItem } from '../../components/List'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { BENCH_ROWS } from './benchRows'

/** What is done on the machine of a job: one row for each part of the work, with how far it is. */
export function Bench({ id }: { id: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  return (
    <ShopPage overline={machineName(machine(row.machine_id))} title={t.title} back={{ at: 'job', id }}>
      <List items={BENCH_ROWS} keyOf={({ label }) => label} empty="">
        {({ label, to, state }) => <ListItem title={label} value={state?.(row)} to={to(row)} />}
      </List>
    </ShopPage>
  )
}
