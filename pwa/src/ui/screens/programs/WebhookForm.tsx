import { programs as t } from '../../../domain/words/programs'
import { newId } from '../../../store/browser/clock'
import { addWebhook, editWebhook, readWebhooks, type Webhook } from '../../../store/webhooks'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { TextField } from '../../components/Field'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { useForm } from '../../useForm'
import { useReading } from '../../useReading'
import { Unreached } from './Unreached'

const KINDS = Object.entries(t.kinds).map(([value, label]) => ({ value, label }))

export const NewWebhook = () => <Fields id={newId()} />

export function ChangeWebhook({ id }: { id: string }) {
  const { value, failed, again } = useReading(readWebhooks, id)
  const webhook = value?.find((each) => each.id === id)
  if (webhook) return <Fields id={id} webhook={webhook} />
  if (value) return <NotFound />
  return <ShopPage title={t.title}>{failed && <Unreached onRetry={again} />}</ShopPage>
}

/** The address and what it is told about. Kinds that another program chose stay as they are. */
function Fields({ id, webhook }: { id: string; webhook?: Webhook }) {
  const others = (webhook?.kinds ?? []).filter((kind) => !(kind in t.kinds))
  const form = useForm<{ url: string; label: string; all: boolean; kinds: string[] }, string>({
    name: `webhook:${webhook ? id : ''}`,
    blank: {
      url: webhook?.url ?? '',
      label: webhook?.label ?? '',
      all: !webhook?.kinds.length,
      kinds: (webhook?.kinds ?? []).filter((kind) => kind in t.kinds),
    },
    draft: false,
    check: ({ url, all, kinds }) => ({
      url: !/^https?:\/\/\S+$/.test(url.trim()) && t.missingUrl,
      kinds: !all && !kinds.length && !others.length && t.missingKinds,
    }),
    save: async ({ url, label, all, kinds }) => {
      const fields = { url: url.trim(), label: label.trim(), kinds: all ? [] : [...kinds, ...others] }
      const answer = await (webhook ? editWebhook(id, fields) : addWebhook(id, fields))
      return answer.done ? id : { ...answer, words: answer.words || t.noSignal }
    },
    next: (saved) => ({ at: 'webhook', id: saved }),
    saved: t.saved,
  })
  const { field, fields, update, errors } = form
  return (
    <FormPage form={form} overline={t.title} title={webhook ? t.edit : t.add} saveLabel={t.save}>
      <TextField label={t.url} hint={t.urlHint} autocapitalize="off" {...field('url')} />
      <TextField label={t.label} hint={t.labelHint} {...field('label')} />
      <BooleanRadioGroup
        label={t.everything}
        options={[
          [true, t.all],
          [false, t.some],
        ]}
        {...field('all')}
      />
      {!fields.all && (
        <CheckboxGroup
          label={t.chosen}
          options={KINDS}
          values={fields.kinds}
          error={errors['kinds']}
          onValuesChange={(kinds) => update({ kinds })}
        />
      )}
    </FormPage>
  )
}
