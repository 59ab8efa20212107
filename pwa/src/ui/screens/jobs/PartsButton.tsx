import { en } from '../../../domain/words'
import { countNeeds } from '../../../store/partNeeds'
import { partsOfJob } from '../../../store/partsOfJob'
import { Button } from '../../components/Button'

/** The way to a job's parts, with how far they are. */
export function PartsButton({ id }: { id: string }) {
  const needs = countNeeds(id)
  return (
    <Button
      label={en.jobParts.title}
      hint={en.jobParts.summary({ ...needs, offered: partsOfJob(id).length })}
      to={{ at: 'job-parts', id }}
    />
  )
}
