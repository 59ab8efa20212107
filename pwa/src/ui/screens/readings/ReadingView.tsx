import './styles'
import { agree } from '../../../domain/bench/decisions'
import { isSameThing, rangeOf, stillNeeded, uncertaintyOf } from '../../../domain/bench/readings'
import type { Job, Reading } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { readingView as t } from '../../../domain/words/readings'
import { findingsOf, recordFinding, removeFinding } from '../../../store/findings'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { reading, readingsOf, seriesOf } from '../../../store/readings'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { Badge, DescriptionList, Section } from '../../components/Section'
import { Pictures } from '../../features/pictures/Pictures'
import { KeepForNext } from '../../features/sheets/KeepForNext'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { showToast } from '../../toast'
import { useSaveOnce } from '../../useSaveOnce'
import { DriftChart } from './DriftChart'
import { ReadingList } from './ReadingList'
import { limitText, sureText, valueText } from './readingText'
import { VerdictView } from './VerdictView'

/** One reading: its verdict, what it still needs, what comes next, and the same thing over the machine's life. */
export function ReadingView({ id }: { id: string }) {
  const row = reading(id)
  const jobRow = row && job(row.job_id)
  if (!row || !jobRow) return <NotFound />
  const series = seriesOf(row)
  const isCorrected = !series.some((each) => each.id === id)
  const others = readingsOf(row.job_id).filter((other) => other.id !== id && isSameThing(other, row))
  return (
    <ShopPage
      overline={row.what}
      title={valueText(row)}
      subtitle={row.place}
      badge={<Badge text={shownName(jobRow)} />}
      back={{ at: 'job-bench', id: row.job_id }}
      dock={<NextAct row={row} others={others} />}
    >
      <VerdictView reading={row} verdict={row.verdict} />
      {isCorrected && <p class="notice">{t.corrected}</p>}
      {stillNeeded(row, others).map((need) => (
        <p key={need} class="notice">
          {t.needs[need]}
        </p>
      ))}
      {others.some((other) => !agrees(row, other)) && <p class="notice">{t.disagree}</p>}
      <DescriptionList
        items={[
          [t.gauge, row.gauge && t.measuredWith(row.gauge.name, sureText(row.gauge))],
          [t.when, format.value.moment(row.taken_at)],
          [t.note, [row.corrects_id && t.corrects, row.words].filter(Boolean).join('\n')],
        ]}
      />
      <ButtonRow>
        <Button label={t.second} to={again(row, 'yes')} />
        <Button label={t.correct} to={{ at: 'job-reading', id: row.job_id, correctsId: row.id }} />
      </ButtonRow>
      <KeepLimit row={row} job={jobRow} />
      <Pictures about_kind="reading" about_id={row.id} />
      {series.length > 1 && (
        <Section title={t.drift} end={t.driftOf(series.length)}>
          <DriftChart readings={series} />
          <ReadingList readings={[...series].reverse()} />
        </Section>
      )}
    </ShopPage>
  )
}

/** Keeps a limit that was typed at the reading for the next machine; one that came from a sheet is there already. */
function KeepLimit({ row, job }: { row: Reading; job: Job }) {
  const of = machine(job.machine_id)
  if (!of || !row.limit || row.limit.limit_id) return null
  const { limit_id: _, version: __, ...limit } = row.limit
  return (
    <KeepForNext
      label={t.keepLimit}
      hint={limitText(row)}
      kept={{ limit }}
      from={{ machine: of, job_mark: shownName(job) }}
    />
  )
}

const again = ({ id, job_id }: Reading, second?: string): Route => ({
  at: 'job-reading',
  id: job_id,
  repeatId: id,
  ...(second && { second }),
})

/** Whether two readings agree within their gauges; those of blades or without a gauge are not compared. */
function agrees(a: Reading, b: Reading): boolean {
  const [one] = rangeOf(a)
  const [other] = rangeOf(b)
  const [sure, otherSure] = [uncertaintyOf(a.gauge), uncertaintyOf(b.gauge)]
  return !a.value || !b.value || !one || !other || !sure || !otherSure || agree(one, sure, other, otherSure)
}

/** What comes next: a finding of what is outside, another measurement where nothing can be said, else the next reading. */
function NextAct({ row, others }: { row: Reading; others: readonly Reading[] }) {
  const { busy, save } = useSaveOnce()
  const words = t.findingWords(
    [row.what, row.place].filter(Boolean).join(', '),
    valueText(row),
    limitText(row),
  )
  const made = findingsOf(row.job_id).find((each) => each.words === words)
  if (row.verdict === 'outside') {
    if (made) return <PrimaryButton label={t.showFinding} to={{ at: 'finding', id: made.id }} />
    const make = () => {
      let id = ''
      void save(
        async () => {
          id = await recordFinding({ job_id: row.job_id, words, rank: 'needed' })
        },
        () => showToast(t.madeFinding, () => removeFinding(id)),
      )
    }
    return (
      <div class="dock-pair">
        <Button label={t.againShort} to={again(row)} />
        <PrimaryButton label={t.makeFinding} busy={busy} onPress={make} />
      </div>
    )
  }
  const [need] = stillNeeded(row, others)
  if (need === 'second_method') return <PrimaryButton label={t.second} to={again(row, 'yes')} />
  if (need || row.verdict === 'cannot_say')
    return <PrimaryButton label={t.again} hint={t.againHint} to={again(row)} />
  return <PrimaryButton label={t.next} to={{ at: 'job-reading', id: row.job_id }} />
}
