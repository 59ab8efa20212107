import { nameKey, type Typical, typical } from '../../../domain/history'
import { nearness } from '../../../domain/likelyWork'
import type { WorkHistory } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { histories, historyOf } from '../../../store/hours'
import { Field } from '../../components/Field'
import { Key, Keys } from '../../components/Press'
import { hoursDown, hoursNear, hoursUp } from '../../hours'
import { figures } from '../../shopFigures'

const its = en.hours.quote
const SHOWN = 4

interface NameProps {
  operation: string
  machineKind: string
  onOperation: (operation: string) => void
}

/** The name of the work, with the works known of such machines to tap. */
export function WorkName({ operation, machineKind, onOperation }: NameProps) {
  const near = suggested(histories(), operation, machineKind)
  return (
    <>
      <Field label={its.work} hint={its.workHint} value={operation} onValue={onOperation} />
      {near.length > 0 && (
        <fieldset class="known">
          <legend class="unseen">{its.known}</legend>
          <Keys>
            {near.map((name) => (
              <Key key={name} words={name} onPress={() => onOperation(name)} />
            ))}
          </Keys>
        </fieldset>
      )}
    </>
  )
}

/** Works that hold what is typed: those of this kind of machine first, then of its family, by their jobs. */
export function suggested(rows: readonly WorkHistory[], typed: string, machineKind: string): string[] {
  const key = nameKey(typed)
  const near = new Map<string, number>()
  for (const row of rows) {
    const { operation } = row
    if (operation === key || !operation.includes(key)) continue
    near.set(operation, (near.get(operation) ?? 0) + nearness(row, machineKind))
  }
  const names = [...near].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([name]) => name)
  return rows.some(({ operation }) => operation === key) ? [] : names.slice(0, SHOWN)
}

/** What the shop's own finished jobs say of a work by its name. */
export const toldHours = (operation: string, machineKind: string): Typical =>
  typical(historyOf(operation), machineKind)

/** Hours as they stand in the field: what the work usually takes, where there are jobs enough to say so; else none. */
export function usualHours(operation: string, machineKind: string): string {
  const { level, minutes } = toldHours(operation, machineKind)
  return minutes === null || level === 'none' ? '' : figures.value.number(hoursNear(minutes))
}

/** What the shop's own hours say of this work, and one tap to take it; `taken`: they stand in the field already. */
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
  const said = toldHours(operation, machineKind)
  if (said.minutes === null) return <p class="hint">{its.nothing}</p>
  const write = (decimal: string) => en.hours.amount(figures.value.number(decimal))
  const usual = hoursNear(said.minutes)
  const { low, high, of_ten, most, jobs, own } = said
  const behind = {
    kind: its.ofKind(jobs),
    family: its.ofFamily(jobs, own),
    all: its.ofAll(jobs, own),
    none: its.tooFew(jobs),
  }
  return (
    <section class="typical">
      <p>
        <b>{said.level === 'none' ? its.about(write(usual)) : its.usual(write(usual))}</b>{' '}
        {low !== null && high !== null && of_ten !== null && (
          <span>{its.between(figures.value.number(hoursDown(low)), write(hoursUp(high)), of_ten)}</span>
        )}
      </p>
      <p class="hint">{taken ? its.taken(operation) : its.from(operation)}</p>
      <p class="hint">{behind[said.level]}</p>
      {most !== null && <p class="hint">{its.most(write(hoursUp(most)))}</p>}
      {said.reworked > 0 && <p class="hint">{its.reworked(said.reworked)}</p>}
      {!taken && (
        <Keys tall>
          <Key wide words={its.take(write(usual))} onPress={() => onTake(figures.value.number(usual))} />
        </Keys>
      )}
    </section>
  )
}
