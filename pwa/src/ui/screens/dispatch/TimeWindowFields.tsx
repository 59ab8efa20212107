import { MAX_WINDOWS } from '../../../domain/dispatch/stopFaults'
import { en } from '../../../domain/words/index'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { type FormState, fieldBinder } from '../../useForm'
import { NO_WINDOW, type StopFormFields, type TimeWindowFormFields } from './stopFormFields'

const t = en.dispatch.ask

/** One or several time windows, each on a day. */
export function TimeWindowFields({ form }: { form: FormState<StopFormFields> }) {
  const { windows } = form.fields
  const onWindows = (changed: TimeWindowFormFields[]) => form.update({ windows: changed })
  return (
    <>
      {windows.map((window, at) => (
        <TimeWindow
          key={at}
          at={at}
          window={window}
          error={form.errors[`window${at}`]}
          onWindow={(changed) => onWindows(windows.map((each, number) => (number === at ? changed : each)))}
          {...(windows.length > 1 && {
            onDrop: () => onWindows(windows.filter((_, number) => number !== at)),
          })}
        />
      ))}
      <ButtonRow stacked>
        {windows.length < MAX_WINDOWS && (
          <Button wide label={t.addWindow} onPress={() => onWindows([...windows, NO_WINDOW])} />
        )}
      </ButtonRow>
    </>
  )
}

interface WindowProps {
  at: number
  window: TimeWindowFormFields
  error: string | undefined
  onWindow: (window: TimeWindowFormFields) => void
  onDrop?: () => void
}

function TimeWindow({ at, window, error, onWindow, onDrop }: WindowProps) {
  const update = (changed: Partial<TimeWindowFormFields>) => onWindow({ ...window, ...changed })
  const field = fieldBinder({ fields: window, errors: { day: error }, update })
  return (
    <fieldset class="time-window">
      <legend class="visually-hidden">{t.window(at + 1)}</legend>
      <TextField type="date" label={t.day} {...field('day')} />
      <div class="two-columns">
        <TextField type="time" label={t.from} {...field('from')} />
        <TextField type="time" label={t.to} {...field('to')} />
      </div>
      {onDrop && (
        <ButtonRow stacked>
          <Button wide label={t.dropWindow(at + 1)} onPress={onDrop} />
        </ButtonRow>
      )}
    </fieldset>
  )
}
