import type { Job, PartNeed } from '../../../domain/contract'
import { parts as t } from '../../../domain/words/parts'
import { finding } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { addPartNeed, editPartNeed, partNeed } from '../../../store/partNeeds'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { permissions } from '../../../store/session/session'
import { suppliers } from '../../../store/suppliers'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { NumberStepper } from '../../components/NumberStepper'
import { FormPage } from '../../FormPage'
import { DraftPictures } from '../../features/pictures/Pictures'
import { stepNumber } from '../../features/quotes/stepNumber'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { type FormState, useForm } from '../../useForm'
import { KnownParts } from './KnownParts'
import { blankFields, checkPart, fieldsOfNeed, type PartFields, toPartNeed } from './partFields'

interface NewProps {
  id: string
  findingId?: string
  words?: string
  quantity?: string
}

/** A part that a job needs; the address may name a finding that it is for, what it is and how many. */
export function NewPart({ id, findingId, words, quantity }: NewProps) {
  const row = job(id)
  const about = findingId ? finding(findingId) : undefined
  const name = `part:${id}:${findingId ?? ''}:${words ?? ''}`
  const form = useForm<PartFields>({
    name,
    blank: blankFields(words, quantity),
    check: checkPart,
    save: (fields) =>
      addPartNeed(
        {
          job_id: id,
          finding_id: about?.job_id === id ? about.id : null,
          ...toPartNeed(fields, permissions.value.has('see_cost')),
        },
        formPicturesOf(name),
      ),
    back: { at: 'job-parts', id },
    saved: t.saved,
  })
  if (!row) return <NotFound />
  return (
    <Page row={row} form={form} title={t.newTitle}>
      <DraftPictures form={name} title={t.evidence} />
    </Page>
  )
}

export function ChangePart({ id }: { id: string }) {
  const row = partNeed(id)
  const seen = useOriginal(`part:${id}`, row)
  return row && seen ? <ChangeForm seen={seen} /> : <NotFound />
}

function ChangeForm({ seen }: { seen: PartNeed }) {
  const row = job(seen.job_id)
  const form = useForm<PartFields>({
    name: `part:${seen.id}`,
    blank: fieldsOfNeed(seen),
    check: checkPart,
    save: (fields) => editPartNeed(seen, toPartNeed(fields, permissions.value.has('see_cost'))),
    back: { at: 'part', id: seen.id },
  })
  return row ? <Page row={row} form={form} title={t.editTitle} /> : <NotFound />
}

interface PageProps {
  row: Job
  form: FormState<PartFields>
  title: string
  children?: preact.ComponentChildren
}

function Page({ row, form, title, children }: PageProps) {
  const { field, update, fields } = form
  const found = machine(row.machine_id)
  return (
    <FormPage form={form} overline={machineName(found)} title={title} saveLabel={t.save}>
      <TextField label={t.description} hint={t.descriptionHint} {...field('description')} />
      {found && <KnownParts machine={found} form={form} />}
      <TextField
        serial
        label={t.number}
        hint={t.numberHint}
        autocapitalize="characters"
        {...field('number')}
      />
      <NumberStepper
        label={t.quantity}
        decreaseLabel={t.fewer}
        increaseLabel={t.oneMore}
        onStep={(step) => update({ quantity: stepNumber(fields.quantity, step, format.value) })}
        {...field('quantity')}
      />
      {children}
      <MoreFields form={form} />
    </FormPage>
  )
}

function MoreFields({ form }: { form: FormState<PartFields> }) {
  const { field, errors } = form
  const options = [['', t.noSupplier] as const, ...suppliers().map(({ id, name }) => [id, name] as const)]
  const invalid = ['supersededBy', 'cost', 'price', 'core'].some((name) => errors[name])
  return (
    <More label={t.more} names={t.moreNames} invalid={invalid}>
      <SelectField label={t.supplier} options={options} {...field('supplierId')} />
      {permissions.value.has('see_cost') && <TextField decimal label={t.cost} {...field('cost')} />}
      <TextField decimal label={t.price} hint={t.priceHint} {...field('price')} />
      <TextField decimal label={t.core} {...field('core')} />
      <TextField serial label={t.supersededBy} autocapitalize="characters" {...field('supersededBy')} />
      <TextField label={t.bookPage} {...field('bookPage')} />
      <TextField multiline label={t.note} {...field('note')} />
    </More>
  )
}
