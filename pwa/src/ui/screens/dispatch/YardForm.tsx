import { yard as t } from '../../../domain/words/rig'
import { yard } from '../../../store/dispatch'
import { saveYard } from '../../../store/dispatchCommands'
import { leadsSetUp } from '../../../store/setUp'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { PositionField } from '../../features/dispatch/PositionField'
import { units } from '../../features/dispatch/stopText'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { toYardFields, toYardFormFields, validateYard, type YardFormFields } from './yardFormFields'

/** Where runs start and end, and default speeds and durations until the shop has recorded its own. */
export function YardForm() {
  const seen = useOriginal('yard', yard.value ?? null)
  const form = useForm<YardFormFields>({
    name: 'yard',
    blank: toYardFormFields(seen),
    check: validateYard,
    save: (fields) => saveYard(seen ?? undefined, toYardFields(fields)),
    back: { at: leadsSetUp() ? 'today' : 'plan' },
  })
  const { field } = form
  const learned = (kind: 'pickup' | 'return' | 'visit') => {
    const minutes = seen?.learned[`${kind}_minutes`] ?? null
    return minutes === null ? t.minutesHint : t.learned(minutes, seen?.learned[`${kind}_count`] ?? 0)
  }
  return (
    <FormPage form={form} title={t.title} saveLabel={t.save}>
      <PositionField {...field('place')} />
      <div class="two-columns">
        <TextField type="time" label={t.opens} {...field('opens')} />
        <TextField type="time" label={t.closes} {...field('closes')} />
      </div>
      <TextField decimal label={t.loading} {...field('loading')} />
      <TextField decimal label={t.pickup} hint={learned('pickup')} {...field('pickup')} />
      <TextField decimal label={t.return} hint={learned('return')} {...field('return')} />
      <TextField decimal label={t.visit} hint={learned('visit')} {...field('visit')} />
      <TextField
        decimal
        label={t.speed(units() === 'us' ? 'mph' : 'km/h')}
        hint={t.speedHint}
        {...field('speed')}
      />
      <TextField decimal label={t.trailerPercent} {...field('trailerPercent')} />
      <TextField decimal label={t.turnIn} {...field('turnIn')} />
      <Section title={t.tongue}>
        <div class="two-columns">
          <TextField decimal label={t.low} {...field('low')} />
          <TextField decimal label={t.high} {...field('high')} />
        </div>
        <TextField decimal label={t.ties} {...field('ties')} />
      </Section>
    </FormPage>
  )
}
