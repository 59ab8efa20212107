import { useEffect } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { readIntervalReport } from '../../../store/timeReports'
import { Section } from '../../components/Section'
import { ServerUnreachable, useServerAnswer } from '../../features/reports/useServerAnswer'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

const t = en.timeReports

export function DisputedReport() {
  const { answer, failed, ask } = useServerAnswer(readIntervalReport)
  useEffect(() => void ask(), [])
  return (
    <ShopPage title={t.reports.held}>
      {failed && <ServerUnreachable onRetry={() => void ask()} />}
      {!failed && !answer && <p class="empty-state">{en.app.loading} …</p>}
      {answer?.rows.map(({ level, asked, held, promised }) => (
        <Section key={level} title={t.levels[level as keyof typeof t.levels] ?? level}>
          <p class="multiline">
            <b>{t.heldOf(held, asked)}</b>
          </p>
          {promised !== null && <p class="multiline">{t.promised(format.value.number(promised))}</p>}
        </Section>
      ))}
      {answer && !answer.rows.length && (
        <div class="empty-state">
          <b>{t.noneHeld}</b>
          <p>{t.noneHeldHint}</p>
        </div>
      )}
    </ShopPage>
  )
}
