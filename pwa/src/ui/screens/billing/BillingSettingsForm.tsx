import type { BillingSettings } from '../../../domain/contract'
import { billingSettings as t } from '../../../domain/words/billingSettings'
import { countryWords } from '../../../domain/words/country'
import { billingSettings, editBillingSettings } from '../../../store/invoices'
import type { Changes } from '../../../store/queue/commands'
import { proveFirst } from '../../../store/session/proof'
import { TextField } from '../../components/Field'
import { RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import {
  changesPaidTo,
  readSettings,
  type SettingsFields,
  settingsErrors,
  typedSettings,
} from './settingsFields'

/** How the shop bills and is paid. */
export function BillingSettingsForm() {
  const seen = useOriginal('billing-settings', billingSettings())
  return seen ? <Form seen={seen} /> : <NotFound />
}

function Form({ seen }: { seen: BillingSettings }) {
  const form = useForm<SettingsFields>({
    name: 'billing-settings',
    blank: typedSettings(seen),
    check: settingsErrors,
    save: (fields) => save(seen, fields),
  })
  const { field } = form
  const labor = (['as_quoted', 'by_time'] as const).map((value) => ({ value, label: t[value] }))
  return (
    <FormPage form={form} title={t.title} saveLabel={t.save}>
      <Section title={t.seller}>
        <TextField label={t.legal_name} hint={t.legalNameHint} {...field('legal_name')} />
        <TextField label={t.street} hint={t.streetHint} {...field('street')} />
        <TextField label={t.city} {...field('city')} />
        <TextField label={t.region} {...field('region')} />
        <TextField label={t.postcode} {...field('postcode')} />
        <TextField label={countryWords.label} {...field('country')} />
        <TextField label={t.tax_number} {...field('tax_number')} />
        <TextField label={t.company_number} {...field('company_number')} />
        <TextField multiline label={t.invoice_words} {...field('invoice_words')} />
        <TextField multiline label={t.receipt_words} {...field('receipt_words')} />
      </Section>
      <Section title={t.numbers}>
        <TextField label={t.invoice_prefix} {...field('invoice_prefix')} />
        <TextField label={t.credit_prefix} {...field('credit_prefix')} />
      </Section>
      <Section title={t.billing}>
        <RadioGroup label={t.labor} options={labor} {...field('labor')} />
        <TextField label={t.tolerance} hint={t.toleranceHint} {...field('tolerance')} />
        <TextField label={t.payment_days} {...field('payment_days')} />
        <TextField label={t.reminder_days} hint={t.reminderHint} {...field('reminder_days')} />
        <TextField label={t.warranty_days} hint={t.warrantyHint} {...field('warranty_days')} />
        <TextField label={t.warranty_hours} hint={t.warrantyHint} {...field('warranty_hours')} />
        <TextField label={t.hour_cost} hint={t.hourCostHint} {...field('hour_cost')} />
      </Section>
      <Section title={t.account}>
        <TextField label={t.iban} {...field('iban')} />
        <TextField label={t.bic} {...field('bic')} />
        <TextField label={t.account_name} {...field('account_name')} />
        <TextField label={t.payment_url} hint={t.paymentUrlHint} {...field('payment_url')} />
      </Section>
    </FormPage>
  )
}

function save(seen: BillingSettings, fields: SettingsFields) {
  const { tolerance_minor, payment_days, reminder_days, warranty_days, warranty_hours, ...read } =
    readSettings(fields)
  const { hour_cost_minor, country, ...same } = read
  if (tolerance_minor === null || payment_days === undefined || reminder_days === undefined) return null
  if (warranty_days === undefined || warranty_hours === undefined || hour_cost_minor === undefined)
    return null
  if (country === undefined) return null
  const numbers = { tolerance_minor, payment_days, reminder_days, warranty_days, warranty_hours }
  return send(seen, fields, { ...same, country, ...numbers, hour_cost_minor })
}

async function send(seen: BillingSettings, fields: SettingsFields, wanted: Changes<'edit_billing_settings'>) {
  if (changesPaidTo(seen, fields) && !(await proveFirst()))
    return { done: false as const, words: t.bankNeedsProof, fields: [] }
  return editBillingSettings(seen, wanted)
}
