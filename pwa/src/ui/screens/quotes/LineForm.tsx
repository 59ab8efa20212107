import { useState } from 'preact/hooks'
import { likelyWork } from '../../../domain/likelyWork'
import { LINE_KINDS, type LineKind, MOST_FOUND } from '../../../domain/lines'
import { priceLine } from '../../../domain/prices'
import type { Finding, Quote, QuoteLine, Rank } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { histories } from '../../../store/hours'
import { findingsOf, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { linesOf, putQuoteLine, quote, removeQuoteLine } from '../../../store/quotes'
import { permissions } from '../../../store/session'
import { Choice } from '../../components/Choice'
import { Field, Select } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { LineFields } from './LineFields'
import { OffFields } from './OffFields'
import { blankLine, type LineFaults, readLine, type TypedLine, typedLine } from './typedLine'
import { TypicalHours, usualHours, WorkName } from './WorkName'

const its = en.quote.line
const NO_ID = '00000000-0000-0000-0000-000000000000'

export function AddLine({ quoteId, kind, findingId }: { quoteId: string; kind: string; findingId?: string }) {
  const row = quote(quoteId)
  const known = LINE_KINDS.find((each) => each === kind)
  if (!row || !known) return <Nowhere />
  return <LineForm row={row} kind={known} seen={null} findingId={findingId ?? ''} />
}

export function ChangeLine({ quoteId, lineId }: { quoteId: string; lineId: string }) {
  const row = quote(quoteId)
  const line = linesOf(quoteId).find(({ id }) => id === lineId)
  const [seen] = useState(line)
  return row && seen ? <LineForm row={row} kind={seen.kind} seen={seen} findingId="" /> : <Nowhere />
}

interface Props {
  row: Quote
  kind: LineKind
  seen: QuoteLine | null
  findingId: string
}

function LineForm({ row, kind, seen, findingId }: Props) {
  const read = figures.value
  const findings = findingsOf(row.job_id)
  const machineKind = machine(job(row.job_id)?.machine_id ?? '')?.kind ?? ''
  const maySeeCost = permissions.value.has('see_cost')
  const spokenOf = (id: string) =>
    linesOf(row.id).some((line) => line.finding_id === id && line.id !== seen?.id)
  const about = (id: string, words: string) =>
    aboutFinding(
      findings.find((finding) => finding.id === id),
      words,
      spokenOf(id),
    )
  const named = (operation: string) => {
    const hours = usualHours(operation, machineKind)
    return { operation, ...(hours && { hours }) }
  }
  const found = findings.find(({ id }) => id === findingId)?.words ?? ''
  const blank = {
    ...blankLine(kind, row.basis, maySeeCost),
    ...about(findingId, ''),
    ...(kind === 'labor' && named(likelyWork(found, histories(), machineKind) ?? '')),
  }
  const { fields, put, drop } = useDraft<TypedLine>(
    `line:${seen?.id ?? `${row.id}:${kind}:${findingId}`}`,
    seen ? typedLine(seen, blank, read) : blank,
  )
  const [faults, setFaults] = useState<LineFaults>({})
  const { busy, send } = useSend()
  const back = { at: 'quote', id: row.id } as const
  const leave = () => {
    drop()
    goTo(back, { instead: true })
  }
  const typed = readLine(kind, fields, row.basis, read).figures
  const price =
    typed && kind !== 'discount' ? priceLine(row.basis, { id: NO_ID, position: 0, ...typed }) : null

  function save() {
    const { figures: line, faults: found } = readLine(kind, fields, row.basis, read)
    setFaults(found ?? {})
    if (!line) return
    const last = Math.max(0, ...linesOf(row.id).map(({ position }) => position))
    const placed = {
      quote_id: row.id,
      finding_id: fields.findingId || null,
      position: seen?.position ?? last + 1,
    }
    void send(() => putQuoteLine({ ...(seen && { id: seen.id }), ...placed, ...line }), leave)
  }
  async function remove(line: QuoteLine) {
    if (!(await saving(() => removeQuoteLine(line.id)))) return
    const { id, created_at, changed_at, decided, ...whole } = line
    tell(en.quote.builder.dropped, () => putQuoteLine(whole), en.quote.builder.droppedUndo)
    leave()
  }
  return (
    <Sheet
      over={en.quote.builder.title}
      title={seen ? its.editTitle(en.quote.kinds[kind]) : its.addTitle(en.quote.kinds[kind])}
      back={back}
      dock={
        <>
          {price && <Tally name={its.thisLine} amount={read.money(price.amount)} />}
          <Slab words={seen ? its.saveChange : its.save} form="line" busy={busy} />
        </>
      }
    >
      <Form id="line" wrong={faults} onSend={save}>
        <Field
          area
          label={its.wordsOf[kind]}
          hint={its.words}
          value={fields.words}
          wrong={faults.words}
          onValue={(words) => put({ words })}
        />
        {kind === 'labor' && (
          <WorkName
            operation={fields.operation}
            machineKind={machineKind}
            onOperation={(operation) => put(fields.byHand ? { operation } : named(operation))}
          />
        )}
        <LineFields
          kind={kind}
          typed={fields}
          faults={faults}
          book={row.basis}
          maySeeCost={maySeeCost}
          figures={read}
          unitPrice={price?.unit ?? null}
          put={(changed) => put({ ...changed, ...('hours' in changed && { byHand: true }) })}
          underHours={
            <TypicalHours
              operation={fields.operation}
              machineKind={machineKind}
              taken={!fields.byHand && fields.hours === usualHours(fields.operation, machineKind)}
              onTake={(hours) => put({ hours, byHand: false })}
            />
          }
        />
        <OffFields kind={kind} typed={fields} faults={faults} put={put} />
        {kind !== 'discount' && findings.length > 0 && (
          <Select
            label={its.forFinding}
            value={fields.findingId}
            options={[
              ['', en.quote.builder.wholeJob],
              ...findings.map(({ id, words }) => [id, words] as const),
            ]}
            onValue={(id) => put(about(id, fields.words))}
          />
        )}
        {kind !== 'discount' && !fields.findingId && (
          <Choice
            label={its.rankLabel}
            value={fields.rank ?? 'needed'}
            options={(Object.keys(en.ranks) as Rank[]).map((value) => ({ value, words: en.ranks[value] }))}
            onValue={(rank) => put({ rank })}
          />
        )}
        {kind !== 'discount' && (
          <Field
            decimal
            label={en.asking.later}
            hint={its.laterHint}
            value={fields.later ?? ''}
            wrong={faults.later}
            onValue={(later) => put({ later })}
          />
        )}
        <Field
          area
          label={its.included}
          hint={its.includedHint}
          value={fields.included}
          onValue={(included) => put({ included })}
        />
        {seen && (
          <Keys tall>
            {seen.finding_id &&
              (['labor', 'part'] as const).map((also) => (
                <Key
                  key={also}
                  wide
                  words={its.alsoFor[also]}
                  to={{ at: 'quote-add', id: row.id, kind: also, findingId: seen.finding_id ?? '' }}
                />
              ))}
            <Key wide words={its.remove} onPress={() => void remove(seen)} />
          </Keys>
        )}
      </Form>
    </Sheet>
  )
}

/**
 * A line for a finding takes its rank, and its words and what happens if it stays where no other line says them yet.
 */
function aboutFinding(found: Finding | undefined, words: string, isSpokenOf: boolean): Partial<TypedLine> {
  if (!found) return { findingId: '', found: '' }
  const about = { findingId: found.id, rank: found.rank }
  if (isSpokenOf) return { ...about, found: '' }
  const included = found.consequence && en.quote.owner.consequence(found.consequence)
  return { ...about, words: words || found.words, found: found.words.slice(0, MOST_FOUND), included }
}
