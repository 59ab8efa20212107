import { useState } from 'preact/hooks'
import type { LineKind, Quote } from '../../../domain/contract'
import { LINE_KINDS } from '../../../domain/contract'
import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words'
import { findingsOf } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { linesOf, quote } from '../../../store/quotes'
import { Button } from '../../components/Button'
import { TextField } from '../../components/Field'
import { RunningTotal } from '../../components/Totals'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { AskedFields } from './AskedFields'
import { LineActions } from './LineActions'
import { type LineFormFields, parseLine } from './lineFormFields'
import { MoreFields } from './MoreFields'
import { aboutFinding } from './newLine'
import { PricingFields } from './PricingFields'
import { UsedBefore } from './UsedBefore'
import { type LineFormProps, useLineForm } from './useLineForm'

const t = en.quote.line
const NO_ID = '00000000-0000-0000-0000-000000000000'

interface NewLine {
  id: string
  kind: string
  findingId?: string
  workId?: string
}

export function AddLine({ id: quoteId, kind, findingId = '', workId = '' }: NewLine) {
  const [added, setAdded] = useState(0)
  const [about, setAbout] = useState({ findingId, workId })
  const row = quote(quoteId)
  const known = LINE_KINDS.find((each) => each === kind)
  if (!row || !known) return <NotFound />
  return (
    <LineForm
      key={added}
      row={row}
      kind={known}
      seen={null}
      {...about}
      onAnother={({ findingId, workId = '' }) => {
        // More labor is another work, with another finding or none; more parts are parts of the work that was chosen.
        setAbout(known === 'labor' ? { findingId: '', workId: '' } : { findingId, workId })
        setAdded(added + 1)
      }}
    />
  )
}

export function ChangeLine({ id: quoteId, lineId }: { id: string; lineId: string }) {
  const row = quote(quoteId)
  const line = linesOf(quoteId).find(({ id }) => id === lineId)
  const seen = useOriginal(`line:${lineId}`, line)
  // A kind that only a newer server knows has fields that this app would lose.
  const known = LINE_KINDS.some((each) => each === seen?.kind)
  return row && seen && known ? (
    <LineForm row={row} kind={seen.kind} seen={seen} findingId="" workId="" />
  ) : (
    <NotFound />
  )
}

/** The price of a line as typed; null while it cannot be worked out, and of a discount. */
function priceTyped({ basis }: Quote, kind: LineKind, fields: LineFormFields) {
  const typed = parseLine(kind, fields, basis, format.value).figures
  return typed && kind !== 'discount' ? priceLine(basis, { id: NO_ID, position: 0, ...typed }) : null
}

function LineForm(props: LineFormProps) {
  const { row, kind, seen, onAnother } = props
  const machineKind = machine(job(row.job_id)?.machine_id ?? '')?.kind ?? ''
  const findings = findingsOf(row.job_id)
  const about = aboutFinding(row, seen)
  const { form, submit } = useLineForm(props, machineKind)
  const hasMore = onAnother && (kind === 'labor' || kind === 'part')
  const { fields, update, field } = form
  const price = priceTyped(row, kind, fields)
  return (
    <FormPage
      form={{ ...form, submit: () => submit(false) }}
      overline={en.quote.builder.title}
      title={seen ? t.editTitle(en.quote.kinds[kind]) : t.addTitle(en.quote.kinds[kind])}
      saveLabel={seen ? t.saveChange : t.save}
      beside={hasMore && <Button label={t.another} onPress={() => submit(true)} />}
      dockTop={price && <RunningTotal name={t.thisLine} amount={format.value.money(price.amount)} />}
    >
      <TextField multiline={kind !== 'part'} label={t.wordsOf[kind]} hint={t.words} {...field('words')} />
      <UsedBefore kind={kind} form={form} book={row.basis} machineKind={machineKind} />
      <PricingFields
        form={form}
        row={row}
        kind={kind}
        machineKind={machineKind}
        unitPrice={price?.unit ?? null}
      />
      {(kind === 'travel' || kind === 'fee') && <AskedFields form={form} row={row} kind={kind} seen={seen} />}
      <MoreFields
        form={form}
        row={row}
        kind={kind}
        seen={seen}
        machineKind={machineKind}
        findings={findings}
        onFinding={(id) => update(about(id, fields.words))}
      />
      {seen && <LineActions row={row} line={seen} form={form} />}
    </FormPage>
  )
}
