import type { Job } from '../../../domain/contract'
import { money as t } from '../../../domain/words/payments'
import { accountsOf, moneyOf, moneyOfJob, namedBy, paymentsOf } from '../../../store/payments'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { format } from '../../shopFormat'
import { depositDue, moneyFigures, payRoute } from './moneyFigures'

/** The money of a job in one row; what is paid too much, and what is to be taken now, unless that is asked elsewhere. */
export function JobMoney({ job, quiet }: { job: Job; quiet: boolean }) {
  const { id } = job
  const money = moneyOfJob(id)
  const figures = moneyFigures(money)
  const shown = format.value.money
  return (
    <>
      {figures.length > 0 && (
        <dl class="figures">
          {figures.map(([name, value]) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      {money.too_much > 0 && (
        <p class="notice">
          <b>{t.tooMuch(shown(money.too_much))}</b> {t.tooMuchHint}
        </p>
      )}
      <ButtonRow>
        {permissions.value.has('bill') && !quiet && <TakeNow job={job} />}
        {paymentsOf(id).length > 0 && <Button label={t.title} to={{ at: 'job-money', id }} />}
      </ButtonRow>
    </>
  )
}

const openAccounts = (job: Job) =>
  accountsOf(job.id)
    .map((account) => ({ account, minor: moneyOf(account).open }))
    .filter(({ minor }) => minor > 0)

/** What is open on a job in all, in minor units. */
export const openOfJob = (job: Job): number => openAccounts(job).reduce((sum, { minor }) => sum + minor, 0)

/** The agreed deposit, or what each payer has open; `main`: it is the main act of the screen. */
export function TakeNow({ job, main }: { job: Job; main?: boolean }) {
  const shown = format.value.money
  const deposit = depositDue(job)
  const Act = main ? PrimaryButton : Button
  return (
    <>
      {deposit > 0 && (
        <Act
          label={t.takeDeposit(shown(deposit))}
          to={{ at: 'job-pay', id: job.id, kind: 'deposit', amount: String(deposit) }}
        />
      )}
      {openAccounts(job).map(({ account, minor }) => (
        <Act key={account.customer_id} label={t.takeOpen(shown(minor))} to={payRoute(namedBy(account))} />
      ))}
    </>
  )
}
