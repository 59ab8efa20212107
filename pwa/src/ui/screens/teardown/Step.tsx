import type { RemovalStep } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import {
  editRemovalStep,
  fastenersOf,
  removalStep,
  removeRemovalStep,
  standingMoves,
  undoPutBack,
} from '../../../store/teardown'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { saveWithToast } from '../../toast'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { StepFields } from './StepFields'
import { bagFault, blankStep, newStep, type StepForm } from './stepForm'
import { nameOfStep, sizeName, torqueText } from './stepName'

/** A step that is recorded: its photos, fields and fasteners. */
export function Step({ id }: { id: string }) {
  const row = removalStep(id)
  const seen = useOriginal(`removal-step:${id}`, row)
  return row && seen ? <Fields row={row} seen={seen} /> : <NotFound />
}

function Fields({ row, seen }: { row: RemovalStep; seen: RemovalStep }) {
  const { id, job_id } = row
  const form = useForm<StepForm>({
    name: `removal-step:${id}`,
    blank: blankStep(seen),
    check: ({ bag }) => ({ bag: bagFault(bag) }),
    save: (fields) => editRemovalStep(seen, newStep(fields, null)),
    back: { at: 'job-teardown', id: job_id },
  })
  const back = row.back_at !== null
  return (
    <FormPage
      form={form}
      overline={back ? t.back : row.loosened ? t.loosened : t.off}
      title={nameOfStep(id)}
      saveLabel={t.save}
      before={<Pictures about_kind="removal_step" about_id={id} />}
      after={
        <>
          <StepFasteners id={id} />
          <ButtonRow stacked>
            {back && (
              <Button
                wide
                label={t.undoBack}
                onPress={() => void saveWithToast(() => undoPutBack(id, standingMoves(id)), t.undoneBack)}
              />
            )}
            <Button
              wide
              label={t.deleteStep}
              onPress={() => void form.remove({ action: () => remove(id), text: t.stepDeleted })}
            />
          </ButtonRow>
        </>
      }
    >
      <TextField label={t.what} {...form.field('what')} />
      <StepFields form={form} jobId={job_id} bag={null} own={id} />
    </FormPage>
  )
}

async function remove(id: string): Promise<undefined> {
  await removeRemovalStep(id)
}

function StepFasteners({ id }: { id: string }) {
  const rows = fastenersOf(id)
  return (
    <Section title={t.sizes}>
      {rows.length > 0 && (
        <List items={rows} keyOf={(row) => row.id} empty="">
          {(row) => (
            <ListItem
              to={{ at: 'fastener', id: row.id }}
              title={`${row.count} × ${sizeName(row)}`}
              value={torqueText(row)}
              details={[
                row.place,
                row.hidden && t.hidden,
                row.one_use && t.oneUse,
                row.torque_critical && t.critical,
              ]
                .filter(Boolean)
                .join(' · ')}
            />
          )}
        </List>
      )}
      <ButtonRow>
        <Button label={t.addFastener} to={{ at: 'removal-step-fastener', id }} />
      </ButtonRow>
    </Section>
  )
}
