import type { Stop } from '../../../domain/contract'
import { en } from '../../../domain/words/index'
import { dropStop } from '../../../store/dispatchCommands'
import { editSupplierStop } from '../../../store/supplierStops'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { aboutStop } from '../../features/dispatch/stopText'
import { useForm } from '../../useForm'
import { type StopFormFields, toStopFields, toStopFormFields, validateStop } from './stopFormFields'
import { TimeWindowFields } from './TimeWindowFields'

const t = en.dispatch.ask

/** The form of a stop at a supplier: when, how long, notes. Where it is, and its hours, are the supplier's. */
export function SupplierStopForm({ seen }: { seen: Stop }) {
  const form = useForm<StopFormFields>({
    name: `stop:${seen.id}`,
    blank: toStopFormFields(seen, '', ''),
    check: (fields) => ({ ...validateStop(fields, undefined), site: undefined }),
    save: (fields) => editSupplierStop(seen, toStopFields(fields)),
    back: { at: 'stop', id: seen.id },
    saved: t.saved,
  })
  const { field } = form
  const to = seen.run_id ? ({ at: 'run', id: seen.run_id } as const) : ({ at: 'plan' } as const)
  return (
    <FormPage form={form} overline={aboutStop(seen).name} title={t.editTitle} saveLabel={t.saveEdit}>
      <Section title={t.when} hint={t.whenHint}>
        <TimeWindowFields form={form} />
        <div class="two-columns">
          <TextField type="date" label={t.earliest} {...field('earliest')} />
          <TextField type="date" label={t.promised} {...field('promised')} />
        </div>
      </Section>
      <TextField decimal label={t.minutes} {...field('minutes')} />
      <TextField multiline label={t.notes} {...field('notes')} />
      <ButtonRow stacked>
        <Button
          wide
          label={t.drop}
          onPress={() => void form.remove({ action: () => dropStop(seen), text: t.dropped, to })}
        />
      </ButtonRow>
    </FormPage>
  )
}
