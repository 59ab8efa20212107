import { useState } from 'preact/hooks'
import { likelyWork } from '../../../domain/likelyWork'
import { MOST_FOUND } from '../../../domain/lines'
import { offerDocument } from '../../../domain/offer'
import type { Finding, PriceBook, QuoteLineFields, Shown } from '../../../domain/rows'
import { daysAfter } from '../../../domain/time'
import { en } from '../../../domain/words'
import { kindOfMore, offerAtOnce } from '../../../store/asking'
import { customer } from '../../../store/customers'
import { histories } from '../../../store/hours'
import { finding, job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Caution } from '../../components/Part'
import { Slab } from '../../components/Press'
import { Stepper } from '../../components/Stepper'
import { Tally } from '../../components/Sums'
import { useDraft } from '../../draft'
import { goTo } from '../../router'
import { useSend } from '../../send'
import { figures, today } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Pictures } from '../pictures/Pictures'
import { basisToday, digestOf, namesOf } from '../quotes/reckoned'
import { stepped } from '../quotes/stepping'
import { TypicalHours, usualHours, WorkName } from '../quotes/WorkName'
import { Sheet } from '../Sheet'

const its = en.asking

interface Typed {
  words: string
  left: string
  operation: string
  hours: string
  /** The hours are a person's own, not the history's: they stay when another work is named. */
  byHand: boolean
  parts: string
  later: string
}

export function AskMore({ id }: { id: string }) {
  const row = finding(id)
  const basis = basisToday()
  return row && basis ? <Ask row={row} basis={basis} /> : <Nowhere />
}

/** Work for one finding, offered and asked for in one go. */
function Ask({ row, basis }: { row: Finding; basis: PriceBook }) {
  const read = figures.value
  const ticket = job(row.job_id)
  const machineKind = machine(ticket?.machine_id ?? '')?.kind ?? ''
  const named = (operation: string) => ({ operation, hours: usualHours(operation, machineKind) })
  const { fields, put, drop } = useDraft<Typed>(`ask:${row.id}`, {
    words: row.words,
    left: row.consequence,
    ...named(likelyWork(row.words, histories(), machineKind) ?? ''),
    byHand: false,
    parts: '',
    later: '',
  })
  const [wrong, setWrong] = useState<Wrong>({})
  const { busy, send } = useSend()
  const found = readMore(fields, row)
  const shown = namesOf(row.job_id)
  const lines = found.lines
  const document = lines?.length ? documentOf('', lines, basis, shown, row) : null

  function save() {
    setWrong(found.wrong)
    if (!lines) return
    const kind = kindOfMore(row.job_id)
    let quote_id = ''
    void send(
      async () => {
        quote_id = await offerAtOnce({ job_id: row.job_id, kind, basis }, lines, async (id, placed) => {
          const document = documentOf(id, placed, basis, shown, row)
          const { valid_until, total_minor } = document
          return { valid_until, total_minor, digest: await digestOf(document), shown }
        })
      },
      () => {
        drop()
        goTo({ at: 'quote-ask', id: quote_id }, { instead: true })
      },
      its.offered,
    )
  }
  return (
    <Sheet
      over={customer(ticket?.customer_id ?? '')?.name ?? ''}
      title={its.title}
      under={en.ranks[row.rank]}
      back={{ at: 'finding', id: row.id }}
      dock={
        <>
          {document && (
            <Tally
              name={its.comesTo}
              amount={read.money(document.total_minor)}
              by={madeOf(lines ?? [], document.later_total_minor)}
            />
          )}
          <Slab
            words={its.offer}
            hint={its.offerHint(shown.customer)}
            missing={found.nothing ? its.offerStill : undefined}
            form="ask"
            busy={busy}
          />
        </>
      }
    >
      <Form id="ask" wrong={wrong} onSend={save}>
        <Field
          area
          label={its.work}
          value={fields.words}
          wrong={wrong.words}
          onValue={(words) => put({ words })}
        />
        <Stepper
          label={its.hours}
          value={fields.hours}
          wrong={wrong.hours}
          lessWords={its.less}
          moreWords={its.longer}
          onValue={(hours) => put({ hours, byHand: true })}
          onStep={(direction) => put({ hours: stepped(fields.hours, 0.25 * direction, read), byHand: true })}
        />
        <TypicalHours
          operation={fields.operation}
          machineKind={machineKind}
          taken={!fields.byHand && fields.hours !== ''}
          onTake={(hours) => put({ hours, byHand: false })}
        />
        <Field
          decimal
          label={its.parts}
          hint={its.partsHint}
          value={fields.parts}
          wrong={wrong.parts}
          onValue={(parts) => put({ parts })}
        />
        <WorkName
          operation={fields.operation}
          machineKind={machineKind}
          onOperation={(operation) => put(fields.byHand ? { operation } : named(operation))}
        />
        <Field area label={its.left} value={fields.left} onValue={(left) => put({ left })} />
        {row.rank === 'safety' && <Caution words={en.finding.safetyCaution} />}
        <Field
          decimal
          label={its.later}
          hint={its.laterHint}
          value={fields.later}
          wrong={wrong.later}
          onValue={(later) => put({ later })}
        />
      </Form>
      <Pictures about_kind="finding" about_id={row.id} />
    </Sheet>
  )
}

/** What the sum is made of, in words, and what it is if done later. */
function madeOf(lines: readonly Line[], later: number | undefined): string[] {
  const read = figures.value
  const made = lines.map(({ hours, unit_price_minor }) =>
    hours == null ? its.partsBy(read.money(unit_price_minor ?? 0)) : its.hoursBy(read.number(hours)),
  )
  return later === undefined ? made : [...made, its.laterBy(read.money(later))]
}

type Wrong = Partial<Record<keyof Typed, string>>
type Line = Omit<QuoteLineFields, 'id' | 'position'> & { finding_id?: string | null }

/** The lines that what was typed stands for, or what is wrong, by field. */
function readMore(typed: Typed, row: Finding): { lines: Line[] | null; wrong: Wrong; nothing: boolean } {
  const read = figures.value
  const wrong: Wrong = {}
  const money = (field: 'parts' | 'later') => {
    const minor = typed[field].trim() ? read.readMoney(typed[field]) : 0
    if (minor === null || minor < 0) wrong[field] = its.missingMoney
    return minor ?? 0
  }
  const words = typed.words.trim()
  const hours = typed.hours.trim() ? read.readNumber(typed.hours) : '0'
  const parts = money('parts')
  const later = money('later')
  if (!words) wrong.words = its.missingWords
  if (hours === null || hours.startsWith('-')) wrong.hours = its.missingNumber
  const nothing = hours !== null && Number(hours) === 0 && parts === 0 && !wrong.parts
  if (later > 0 && later < parts && !wrong.parts) wrong.later = its.laterLess
  if (nothing) wrong.hours = its.nothing
  if (Object.keys(wrong).length || hours === null) return { lines: null, wrong, nothing }
  const left = typed.left.trim()
  const included = left && en.quote.owner.consequence(left)
  const about = { finding_id: row.id, rank: row.rank }
  const found = row.words.trim() === words ? '' : row.words.slice(0, MOST_FOUND)
  const isWorked = Number(hours) > 0
  const first = { included, ...(found && { found }) }
  const operation = typed.operation.trim()
  const labor: Line = {
    ...about,
    kind: 'labor',
    words,
    ...first,
    work: 'repair',
    hours,
    ...(later > 0 && { later_minor: later - parts }),
    ...(operation && { operation }),
  }
  const part: Line = {
    ...about,
    kind: 'part',
    words: its.partsWords(words),
    ...(!isWorked && first),
    quantity: '1',
    unit_price_minor: parts,
    ...(!isWorked && later > 0 && { later_minor: later }),
  }
  return { lines: [...(isWorked ? [labor] : []), ...(parts > 0 ? [part] : [])], wrong: {}, nothing }
}

const NO_ID = '00000000-0000-0000-0000-000000000000'

function documentOf(
  quote_id: string,
  lines: readonly (Line & { id?: string; position?: number })[],
  book: PriceBook,
  shown: Shown,
  row: Finding,
) {
  return offerDocument({
    quote_id,
    revision: 1,
    kind: kindOfMore(row.job_id),
    shop_name: shown.shop,
    customer_name: shown.customer,
    machine: shown.machine,
    book,
    lines: lines.map(({ finding_id, ...line }, at) => ({
      id: `${NO_ID.slice(0, -1)}${at}`,
      position: at + 1,
      ...line,
    })),
    discount: null,
    exempt: shown.exempt,
    valid_until: daysAfter(today(), book.valid_days),
  })
}
