import { useState } from 'preact/hooks'
import type { Job } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { customer, sitesOf } from '../../../store/customers'
import { editJob, job } from '../../../store/jobs'
import { Choice } from '../../components/Choice'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.job

export function JobForm({ id }: { id: string }) {
  const row = job(id)
  return row ? <Change row={row} /> : <Nowhere />
}

function Change({ row }: { row: Job }) {
  const [seen] = useState(row)
  const { fields, put, drop } = useDraft(`job:${row.id}`, {
    promised_on: row.promised_on ?? '',
    site_id: row.site_id ?? '',
    notes: row.notes,
  })
  const { busy, send } = useSend()
  const back = { at: 'job', id: row.id } as const
  const sites = sitesOf(row.customer_id)

  function save() {
    void send(
      () =>
        editJob(seen, {
          promised_on: fields.promised_on || null,
          site_id: fields.site_id || null,
          notes: fields.notes,
        }),
      () => {
        drop()
        goTo(back, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={customer(row.customer_id)?.name ?? ''}
      title={its.editTitle}
      back={back}
      dock={<Slab words={its.save} form="job" busy={busy} />}
    >
      <Form id="job" wrong={{}} onSend={save}>
        <Field
          type="date"
          label={its.fields.promised}
          hint={its.fields.promisedHint}
          value={fields.promised_on}
          onValue={(promised_on) => put({ promised_on })}
        />
        {sites.length > 0 && (
          <Choice
            label={its.fields.site}
            value={fields.site_id}
            options={[
              { value: '', words: its.atShop },
              ...sites.map((site) => ({ value: site.id, words: site.label, hint: site.access_notes })),
            ]}
            onValue={(site_id) => put({ site_id })}
          />
        )}
        <Field area label={its.fields.notes} value={fields.notes} onValue={(notes) => put({ notes })} />
      </Form>
    </Sheet>
  )
}
