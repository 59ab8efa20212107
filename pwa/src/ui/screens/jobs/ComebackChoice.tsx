import { shownName } from '../../../domain/provisionalMarks'
import { comebacks as t } from '../../../domain/words/comebacks'
import { doneJobs } from '../../../store/comebacks'
import { RadioGroup } from '../../components/RadioGroup'
import { Warranty } from '../../features/comebacks/Warranty'
import { dayOf, format } from '../../shopFormat'
import type { NewJobFieldsProps } from './newJobFields'

/** For a machine that was here before: whether its work came back, and what of it is still under warranty. */
export function ComebackChoice({ fields, update }: NewJobFieldsProps) {
  const { machineId } = fields
  const earlier = machineId ? doneJobs(machineId) : []
  if (!machineId) return null
  return (
    <>
      {earlier.length > 0 && (
        <RadioGroup
          label={t.ask}
          value={earlier.some(({ id }) => id === fields.comebackOf) ? fields.comebackOf : ''}
          options={[
            { value: '', label: t.newWork },
            ...earlier.map((row) => ({
              value: row.id,
              label: t.of(shownName(row)),
              hint: t.doneOn(format.value.day(dayOf(row.opened_at))),
            })),
          ]}
          onValueChange={(comebackOf) => update({ comebackOf })}
        />
      )}
      <Warranty machineId={machineId} />
    </>
  )
}
