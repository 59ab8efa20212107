import type { Job } from '../../../domain/contract'
import { promises as t } from '../../../domain/words/promises'
import { editJob } from '../../../store/jobs'
import { promiseOf } from '../../../store/promises'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { format, today } from '../../shopFormat'
import { saveWithToast } from '../../toast'

/** The day that can be promised by the parts a job waits for, and how sure the promised one is. */
export function PromiseOffer({ row }: { row: Job }) {
  const found = promiseOf(row.id, today())
  if (!found) return null
  const { day, needBy, chance, percent, hours, needs } = found
  const percentOf = (share: number) => format.value.percent(String(Math.round(share)))
  const promised = row.promised_on
  return (
    <Section title={t.title}>
      <p class="multiline">
        {day === null
          ? `${t.unknown}\n${t.unknownHint}`
          : `${t.by(format.value.weekday(day))}\n${t.chance(percentOf(percent))}`}
      </p>
      <p class="hint">
        {[
          t.toCome(needs.map(({ description }) => description).join(', ')),
          hours > 0 && t.work(format.value.number(String(hours))),
          promised && needBy && t.needBy(format.value.weekday(needBy)),
          promised && chance !== null && t.inTime(percentOf(chance * 100)),
        ]
          .filter(Boolean)
          .join(' · ')}
      </p>
      {day !== null && day !== promised && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.promise(format.value.weekday(day))}
            onPress={() =>
              void saveWithToast(
                () => editJob(row, { promised_on: day }),
                t.promised(format.value.weekday(day)),
              )
            }
          />
        </ButtonRow>
      )}
    </Section>
  )
}
