import { MAX_RESTS } from '../../../domain/dispatch/rigFaults'
import { rig as t } from '../../../domain/words/rig'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { type FormState, fieldBinder } from '../../useForm'
import { type BreakFormFields, isGiven, NO_BREAK, type RigFormFields } from './rigFormFields'

/** The breaks of a shift, each with its earliest and latest start and its length. */
export function BreakFields({ form }: { form: FormState<RigFormFields> }) {
  const { rests } = form.fields
  const onRests = (changed: BreakFormFields[]) => form.update({ rests: changed })
  return (
    <>
      {rests.map((rest, at) => (
        <BreakField
          key={at}
          at={at}
          rest={rest}
          error={form.errors[`rest${at}`]}
          onRest={(changed) => onRests(rests.map((each, number) => (number === at ? changed : each)))}
          {...((rests.length > 1 || isGiven(rest)) && {
            onDrop: () => onRests(rests.filter((_, number) => number !== at)),
          })}
        />
      ))}
      {rests.length < MAX_RESTS && (
        <ButtonRow stacked>
          <Button wide label={t.addBreak} onPress={() => onRests([...rests, NO_BREAK])} />
        </ButtonRow>
      )}
    </>
  )
}

interface RestProps {
  at: number
  rest: BreakFormFields
  error: string | undefined
  onRest: (rest: BreakFormFields) => void
  onDrop?: () => void
}

function BreakField({ at, rest, error, onRest, onDrop }: RestProps) {
  const update = (changed: Partial<BreakFormFields>) => onRest({ ...rest, ...changed })
  const field = fieldBinder({ fields: rest, errors: { minutes: error }, update })
  return (
    <fieldset class="time-window">
      <legend class="visually-hidden">{t.break(at + 1)}</legend>
      <div class="two-columns">
        <TextField type="time" label={t.breakOpens} {...field('opens')} />
        <TextField type="time" label={t.breakCloses} {...field('closes')} />
      </div>
      <TextField decimal label={t.breakMinutes} {...field('minutes')} />
      {onDrop && (
        <ButtonRow stacked>
          <Button wide label={t.dropBreak(at + 1)} onPress={onDrop} />
        </ButtonRow>
      )}
    </fieldset>
  )
}
