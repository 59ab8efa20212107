import type { LineKind, Quote, QuoteLine } from '../../../domain/contract'
import { LINE_KINDS } from '../../../domain/contract'
import { matchWork } from '../../../domain/labor/workMatch'
import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words'
import { findingsOf, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { linesOf, putQuoteLine, quote } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { hasClocked } from '../../../store/timeEntries'
import { histories } from '../../../store/timeReports'
import { TextField } from '../../components/Field'
import { RunningTotal } from '../../components/Totals'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { format } from '../../shopFormat'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { AskedFields } from './AskedFields'
import { FindingFields, findingOptions } from './FindingFields'
import { LineActions } from './LineActions'
import { blankLine, type LineFormFields, parseLine, toLineFormFields } from './lineFormFields'
import { PricingFields, workNamed } from './PricingFields'

const t = en.quote.line
const NO_ID = '00000000-0000-0000-0000-000000000000'

interface NewLine {
  id: string
  kind: string
  findingId?: string
  workId?: string
}

export function AddLine({ id: quoteId, kind, findingId = '', workId = '' }: NewLine) {
  const row = quote(quoteId)
  const known = LINE_KINDS.find((each) => each === kind)
  if (!row || !known) return <NotFound />
  return <LineForm row={row} kind={known} seen={null} findingId={findingId} workId={workId} />
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

interface Props {
  row: Quote
  kind: LineKind
  seen: QuoteLine | null
  findingId: string
  workId: string
}

function LineForm({ row, kind, seen, findingId, workId }: Props) {
  const machineKind = machine(job(row.job_id)?.machine_id ?? '')?.kind ?? ''
  const findings = findingsOf(row.job_id)
  const about = (id: string, words: string) => {
    const same = linesOf(row.id).find((line) => line.finding_id === id && line.id !== seen?.id)
    const finding = findings.find((one) => one.id === id)
    return {
      ...findingOptions(finding, words, same !== undefined),
      ...(finding && same && { workId: same.belongs_to_id ?? same.id }),
    }
  }
  const blank = {
    ...firstLine(row, kind, findingId, machineKind),
    workId,
    ...about(findingId, ''),
    asked: kind === 'travel' && hasClocked(row.job_id, 'travel') ? ('agreed' as const) : ('yes' as const),
  }
  const form = useForm<LineFormFields>({
    name: `line:${seen?.id ?? `${row.id}:${kind}:${findingId}${workId}`}`,
    blank: seen ? toLineFormFields(seen, blank, format.value) : blank,
    check: (fields) => parseLine(kind, fields, row.basis, format.value).faults ?? {},
    save: (fields) => save(row, kind, seen, fields),
    back: { at: 'quote', id: row.id },
  })
  const { fields, update, field } = form
  const typed = parseLine(kind, fields, row.basis, format.value).figures
  const price =
    typed && kind !== 'discount' ? priceLine(row.basis, { id: NO_ID, position: 0, ...typed }) : null
  return (
    <FormPage
      form={form}
      overline={en.quote.builder.title}
      title={seen ? t.editTitle(en.quote.kinds[kind]) : t.addTitle(en.quote.kinds[kind])}
      saveLabel={seen ? t.saveChange : t.save}
      dockTop={price && <RunningTotal name={t.thisLine} amount={format.value.money(price.amount)} />}
    >
      <TextField multiline label={t.wordsOf[kind]} hint={t.words} {...field('words')} />
      <PricingFields
        form={form}
        row={row}
        kind={kind}
        machineKind={machineKind}
        unitPrice={price?.unit ?? null}
      />
      <AskedFields form={form} row={row} kind={kind} seen={seen} />
      {kind !== 'discount' && (
        <FindingFields form={form} findings={findings} onFinding={(id) => update(about(id, fields.words))} />
      )}
      <TextField multiline label={t.included} hint={t.includedHint} {...field('included')} />
      {seen && <LineActions row={row} line={seen} form={form} />}
    </FormPage>
  )
}

/** A new line; labor takes its work name from the finding. */
function firstLine(row: Quote, kind: LineKind, findingId: string, machineKind: string): LineFormFields {
  const found = findingsOf(row.job_id).find(({ id }) => id === findingId)?.words ?? ''
  return {
    ...blankLine(kind, row.basis, permissions.value.has('see_cost')),
    ...(kind === 'labor' && workNamed(matchWork(found, histories(), machineKind) ?? '', machineKind)),
  }
}

function save(row: Quote, kind: LineKind, seen: QuoteLine | null, fields: LineFormFields) {
  const { figures: line } = parseLine(kind, fields, row.basis, format.value)
  if (!line) return null
  const last = Math.max(0, ...linesOf(row.id).map(({ position }) => position))
  const placed = {
    quote_id: row.id,
    finding_id: fields.findingId || null,
    position: seen?.position ?? last + 1,
  }
  return putQuoteLine({ ...(seen && { id: seen.id }), ...placed, ...line })
}
