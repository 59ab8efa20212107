import { useState } from 'preact/hooks'
import type { Job, JobStopKind } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { urgent as t } from '../../../domain/words/breakdown'
import { customer } from '../../../store/customers'
import { openJobs } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { requestUrgentStop, usualSite } from '../../../store/runExceptions'
import { search } from '../../../store/search/search'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { machineName } from '../../names'
import { navigate, type Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { saveWithToast, showToast } from '../../toast'

const SHOWN = 12

/** An urgent call: choose the machine, then one tap. */
export function UrgentCall() {
  const [words, setWords] = useState('')
  const jobs = (words.trim() ? search(words).jobs : openJobs.value).slice(0, SHOWN)
  return (
    <ShopPage title={t.title} subtitle={t.hint}>
      <TextField type="search" label={t.whose} value={words} onValueChange={setWords} />
      <List items={jobs} keyOf={(row) => row.id} empty={t.none}>
        {(row) => (
          <>
            <ListItem
              to={{ at: 'job', id: row.id }}
              title={customer(row.customer_id)?.name ?? en.app.noName}
              details={machineName(machine(row.machine_id))}
            />
            <UrgentButtons row={row} back={{ at: 'today' }} />
          </>
        )}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.newJob} to={{ at: 'new-job' }} />
      </ButtonRow>
    </ShopPage>
  )
}

/** One tap requests a stop today with top priority; where the site is uncertain it opens the stop form. */
function UrgentButtons({ row, back }: { row: Job; back: Route }) {
  const site = usualSite(row)

  async function ask(kind: JobStopKind) {
    if (!site) return navigate({ at: 'job-stop', id: row.id, kind })
    let undo = async () => {}
    const saved = await saveWithToast(async () => {
      undo = await requestUrgentStop(row, kind, site)
    })
    if (!saved) return
    showToast(t.saved, undo)
    navigate(back, { replace: true })
  }
  return (
    <ButtonRow>
      <Button label={t.fetch} onPress={() => void ask('pickup')} />
      <Button label={t.visit} onPress={() => void ask('visit')} />
    </ButtonRow>
  )
}
