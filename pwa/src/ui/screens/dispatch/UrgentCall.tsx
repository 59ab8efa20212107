import { useState } from 'preact/hooks'
import type { Job, StopKind } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { urgent as its } from '../../../domain/words.trouble'
import { customer } from '../../../store/customers'
import { openJobs } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { search } from '../../../store/search'
import { permissions } from '../../../store/session'
import { askUrgently, usualSite } from '../../../store/trouble'
import { Field } from '../../components/Field'
import { Key, Keys } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { goTo, type Place } from '../../router'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { machineName } from '../names'
import { Sheet } from '../Sheet'

const SHOWN = 12

/** Somebody calls and it cannot wait: whose machine, and one tap. */
export function UrgentCall() {
  const [words, setWords] = useState('')
  if (!permissions.value.has('drive_runs')) return <Nowhere />
  const jobs = (words.trim() ? search(words).jobs : openJobs.value).slice(0, SHOWN)
  return (
    <Sheet title={its.title} under={its.hint} back={{ at: 'today' }}>
      <Field type="search" label={its.whose} value={words} onValue={setWords} />
      <Rows items={jobs} keyOf={(row) => row.id} empty={its.none}>
        {(row) => (
          <>
            <Row
              to={{ at: 'job', id: row.id }}
              lead={customer(row.customer_id)?.name ?? en.app.noName}
              also={machineName(machine(row.machine_id))}
            />
            <UrgentKeys row={row} back={{ at: 'today' }} />
          </>
        )}
      </Rows>
      <Keys tall>
        <Key wide words={its.newJob} to={{ at: 'new-job' }} />
      </Keys>
    </Sheet>
  )
}

/** One tap asks for it today, first in line; where the place is in doubt it is asked for on the usual form. */
function UrgentKeys({ row, back }: { row: Job; back: Place }) {
  const site = usualSite(row)

  async function ask(kind: StopKind) {
    if (!site) return goTo({ at: 'job-stop', id: row.id, kind })
    let undo = async () => {}
    const saved = await saving(async () => {
      undo = await askUrgently(row, kind, site)
    })
    if (!saved) return
    tell(its.saved, undo)
    goTo(back, { instead: true })
  }
  return (
    <Keys>
      <Key words={its.fetch} onPress={() => void ask('pickup')} />
      <Key words={its.visit} onPress={() => void ask('visit')} />
    </Keys>
  )
}
