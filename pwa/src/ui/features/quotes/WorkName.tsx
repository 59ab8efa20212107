import type { WorkHistory } from '../../../domain/contract'
import { estimateHours, type HoursEstimate, nameKey } from '../../../domain/labor/history'
import { machineSimilarity } from '../../../domain/labor/workMatch'
import { en } from '../../../domain/words'
import { histories, historyOf } from '../../../store/timeReports'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { hoursRounded, hoursRoundedDown, hoursRoundedUp } from '../../hoursText'
import { format } from '../../shopFormat'

const t = en.timeReports.quote
const SHOWN = 4

interface NameProps {
  operation: string
  machineKind: string
  onOperation: (operation: string) => void
}

/** The name of the work, with suggestions from work done on such machines. */
export function WorkName({ operation, machineKind, onOperation }: NameProps) {
  const near = suggested(histories(), operation, machineKind)
  return (
    <>
      <TextField label={t.work} hint={t.workHint} value={operation} onValueChange={onOperation} />
      {near.length > 0 && (
        <fieldset class="suggestions">
          <legend class="visually-hidden">{t.known}</legend>
          <ButtonRow>
            {near.map((name) => (
              <Button key={name} label={name} onPress={() => onOperation(name)} />
            ))}
          </ButtonRow>
        </fieldset>
      )}
    </>
  )
}

/** Work names that contain the text: those of this kind of machine first, then of its family, by number of jobs. */
export function suggested(rows: readonly WorkHistory[], typed: string, machineKind: string): string[] {
  const key = nameKey(typed)
  const near = new Map<string, number>()
  for (const row of rows) {
    const { operation } = row
    if (operation === key || !operation.includes(key)) continue
    near.set(operation, (near.get(operation) ?? 0) + machineSimilarity(row, machineKind))
  }
  const names = [...near].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([name]) => name)
  return rows.some(({ operation }) => operation === key) ? [] : names.slice(0, SHOWN)
}

/** Typical hours of a work by the shop's finished jobs. */
export const hoursEstimate = (operation: string, machineKind: string): HoursEstimate =>
  estimateHours(historyOf(operation), machineKind)

/** Typical hours as text for the field; empty where there are too few jobs. */
export function usualHours(operation: string, machineKind: string): string {
  const { level, minutes } = hoursEstimate(operation, machineKind)
  return minutes === null || level === 'none' ? '' : format.value.number(hoursRounded(minutes))
}

/** Typical hours of this work with a button to use them; `taken`: they are in the field already. */
export function TypicalHours({
  operation,
  machineKind,
  taken = false,
  onTake,
}: {
  operation: string
  machineKind: string
  taken?: boolean
  onTake: (hours: string) => void
}) {
  if (!nameKey(operation)) return null
  const said = hoursEstimate(operation, machineKind)
  if (said.minutes === null) return <p class="hint">{t.nothing}</p>
  const write = (decimal: string) => en.timeReports.amount(format.value.number(decimal))
  const usual = hoursRounded(said.minutes)
  const between = (low: number, high: number, ofTen: number | null) => {
    const ends = [format.value.number(hoursRoundedDown(low)), write(hoursRoundedUp(high))] as const
    return ofTen === null ? t.range(...ends) : t.between(...ends, ofTen)
  }
  const { low, high, of_ten, most, jobs, own } = said
  const behind = {
    kind: t.ofKind(jobs),
    family: t.ofFamily(jobs, own),
    all: t.ofAll(jobs, own),
    none: t.tooFew(jobs),
  }
  return (
    <section class="typical-hours">
      <p>
        <b>{said.level === 'none' ? t.about(write(usual)) : t.usual(write(usual))}</b>{' '}
        {low !== null && high !== null && <span>{between(low, high, of_ten)}</span>}
      </p>
      <p class="hint">{taken ? t.taken(operation) : t.from(operation)}</p>
      <p class="hint">{behind[said.level]}</p>
      {most !== null && <p class="hint">{t.most(write(hoursRoundedUp(most)))}</p>}
      {said.reworked > 0 && <p class="hint">{t.reworked(said.reworked)}</p>}
      {!taken && (
        <ButtonRow stacked>
          <Button wide label={t.take(write(usual))} onPress={() => onTake(format.value.number(usual))} />
        </ButtonRow>
      )}
    </section>
  )
}
