import type { Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { customer } from '../../../store/customers'
import { recordIntakeTerms } from '../../../store/intake'
import { job } from '../../../store/jobs'
import { priceBook } from '../../../store/priceBook'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { NO_TERMS, type TermsFormFields, toTerms } from './intakeTerms'
import { acceptedNow } from './newJobFields'
import { TermsFields } from './TermsFields'

/** Records terms that a customer was told and accepted after the job was opened. */
export function TermsForm({ id }: { id: string }) {
  const row = job(id)
  return row ? <RecordTerms row={row} /> : <NotFound />
}

function RecordTerms({ row }: { row: Job }) {
  const whose = customer(row.customer_id)
  const name = whose?.person || whose?.name || ''
  const told = (fields: TermsFormFields) => acceptedNow(toTerms(fields, priceBook.value?.prices, name))
  const form = useForm<TermsFormFields>({
    name: `terms:${row.id}`,
    blank: NO_TERMS,
    check: (fields) => ({
      accepted: !told(fields) && en.terms.missing,
      who: !(fields.who ?? name).trim() && en.terms.missingWho,
    }),
    save: (fields) => {
      const terms = told(fields)
      return terms ? recordIntakeTerms({ job_id: row.id, ...terms }) : null
    },
    back: { at: 'job-ticket', id: row.id },
  })
  return (
    <FormPage form={form} overline={whose?.name ?? ''} title={en.terms.title} saveLabel={en.terms.save}>
      <TermsFields {...form} customer={name} />
    </FormPage>
  )
}
