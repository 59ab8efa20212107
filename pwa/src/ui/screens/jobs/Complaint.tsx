import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { addComplaint, job } from '../../../store/jobs'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.complaint

export function Complaint({ jobId }: { jobId: string }) {
  const row = job(jobId)
  const { fields, put, drop } = useDraft(`complaint:${jobId}`, { words: '', happens_when: '' })
  const [wrong, setWrong] = useState<{ words?: string }>({})
  const { busy, send } = useSend()
  if (!row) return <Nowhere />

  function save() {
    if (!fields.words.trim()) return setWrong({ words: its.missing })
    void send(
      () => addComplaint({ job_id: jobId, ...fields }),
      () => {
        drop()
        goTo({ at: 'job', id: jobId }, { instead: true })
      },
    )
  }
  return (
    <Sheet
      over={customer(row.customer_id)?.name ?? ''}
      title={its.title}
      back={{ at: 'job', id: jobId }}
      dock={<Slab words={its.save} form="complaint" busy={busy} />}
    >
      <Form id="complaint" wrong={wrong} onSend={save}>
        <Field
          area
          label={its.words}
          value={fields.words}
          wrong={wrong.words}
          onValue={(words) => put({ words })}
        />
        <Field
          label={its.when}
          hint={its.whenHint}
          value={fields.happens_when}
          onValue={(happens_when) => put({ happens_when })}
        />
      </Form>
    </Sheet>
  )
}
