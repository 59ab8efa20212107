import type { Accounts } from '../../../domain/contract'
import { books as t } from '../../../domain/words/books'
import { billingSettings, saveAccounts } from '../../../store/books'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'

const NAMES = Object.keys(t.accountNames) as (keyof Accounts)[]

/** What the bookkeeper calls each account. */
export function AccountsForm() {
  const seen = billingSettings()
  return seen ? <Form accounts={seen.accounts} /> : <NotFound />
}

function Form({ accounts }: { accounts: Accounts }) {
  const form = useForm<Accounts>({
    name: 'accounts',
    blank: accounts,
    save: (fields) => saveAccounts(fields),
    back: { at: 'books' },
  })
  return (
    <FormPage form={form} title={t.accounts} subtitle={t.accountsHint} saveLabel={t.saveAccounts}>
      {NAMES.map((name) => (
        <TextField key={name} label={t.accountNames[name]} {...form.field(name)} />
      ))}
    </FormPage>
  )
}
