import { useState } from 'preact/hooks'
import type { Quote } from '../../../domain/contract'
import { percentOfAmount } from '../../../domain/quotes/worth'
import { worth as t } from '../../../domain/words/worth'
import { job, jobsOfMachine } from '../../../store/jobs'
import { lastMeter, machine } from '../../../store/machines'
import { decidedQuotes, quote } from '../../../store/quotes'
import { TextField } from '../../components/Field'
import { DescriptionList, Section } from '../../components/Section'
import { calculateQuote } from '../../features/quotes/quoteCalculation'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

/** A quote beside the worth of its machine or of a replacement: plain ratios with their inputs, which are not kept. */
export function WorthRepairing({ id }: { id: string }) {
  const row = quote(id)
  return row ? <Worth row={row} /> : <NotFound />
}

function Worth({ row }: { row: Quote }) {
  const [typed, setTyped] = useState({ value: '', replacement: '' })
  const machineRow = machine(job(row.job_id)?.machine_id ?? '')
  const total = (row.totals ?? calculateQuote(row).sums)?.total_minor ?? null
  const { money, readMoney } = format.value
  const ratio = (text: string) => {
    const of = readMoney(text)
    const percent = total === null ? null : percentOfAmount(total, of)
    return total === null || of === null || percent === null
      ? null
      : t.ratio(format.value.percent(String(percent)), money(total), money(of))
  }
  const fieldOf = (name: 'value' | 'replacement') => ({
    value: typed[name],
    onValueChange: (text: string) => setTyped({ ...typed, [name]: text }),
    error: typed[name].trim() && readMoney(typed[name]) === null ? t.wrongMoney : undefined,
  })
  return (
    <ShopPage
      overline={machineName(machineRow)}
      title={t.title}
      subtitle={t.hint}
      back={{ at: 'quote', id: row.id }}
    >
      <TextField decimal label={t.value} {...fieldOf('value')} />
      <TextField decimal label={t.replacement} {...fieldOf('replacement')} />
      <DescriptionList
        items={[
          [t.quote, total === null ? t.noTotal : money(total)],
          [t.ofValue, ratio(typed.value)],
          [t.ofReplacement, ratio(typed.replacement)],
        ]}
      />
      <Section title={t.known}>
        <DescriptionList items={knownOf(row)} />
      </Section>
    </ShopPage>
  )
}

/** Age, hours, and what was approved on the machine's other jobs. */
function knownOf({ job_id }: Quote): [string, string | null | undefined][] {
  const machine_id = job(job_id)?.machine_id ?? ''
  const meter = lastMeter(machine_id)
  const before = jobsOfMachine(machine_id)
    .filter(({ id }) => id !== job_id)
    .flatMap(({ id }) => decidedQuotes(id))
    .reduce((sum, { totals }) => sum + (totals?.total_minor ?? 0), 0)
  return [
    [t.year, machine(machine_id)?.year?.toString()],
    [t.hours, meter && t.hoursOn(format.value.number(meter.hours), format.value.day(meter.read_on))],
    [t.before, before > 0 ? format.value.money(before) : null],
  ]
}
