import { books as t } from '../../../domain/words/books'
import { closedThrough, closePeriod } from '../../../store/books'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { today } from '../../shopFormat'
import { useForm } from '../../useForm'

/** Closes days, or opens days again with a reason. */
export function CloseDays() {
  const closed = closedThrough()
  const opens = (day: string) => closed !== null && day !== '' && day < closed
  const form = useForm({
    name: 'close-days',
    blank: { through: '', why: '' },
    check: ({ through, why }) => ({
      through: !through || through >= today() ? t.notOver : through === closed && t.alreadyClosed,
      why: opens(through) && !why.trim() && t.missingWhy,
    }),
    save: ({ through, why }) => closePeriod(through, why.trim()),
    back: { at: 'books' },
  })
  return (
    <FormPage form={form} title={t.close} saveLabel={t.saveClose}>
      <TextField type="date" label={t.closeThrough} hint={t.closeHint} {...form.field('through')} />
      <TextField label={t.why} {...form.field('why')} />
    </FormPage>
  )
}
