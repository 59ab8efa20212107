import { useState } from 'preact/hooks'
import { en } from '../../../domain/words/index'
import { type Calendar, openCalendar, readCalendars, withdrawCalendar } from '../../../store/calendar'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'

const t = en.dispatch.calendar

/** The secret address at which a member's calendar app reads their runs. Needs a signal. */
export function CalendarSection() {
  const [found, setFound] = useState<Calendar[] | null>(null)
  const [status, setStatus] = useState('')
  if (!permissions.value.has('drive_runs')) return null

  async function after(work: () => Promise<unknown>) {
    setStatus(t.looking)
    try {
      await work()
      setFound(await readCalendars())
      setStatus('')
    } catch {
      setStatus(t.noSignal)
    }
  }
  return (
    <Section title={t.title} hint={t.hint}>
      <p role="status">{status}</p>
      {found?.map(({ id, url }) => (
        <div key={id} class="card">
          <p class="copy-text">{url}</p>
          <ButtonRow stacked>
            <Button wide label={t.withdraw} onPress={() => void after(() => withdrawCalendar(id))} />
          </ButtonRow>
        </div>
      ))}
      <ButtonRow stacked>
        {found === null ? (
          <Button wide label={t.show} onPress={() => void after(async () => {})} />
        ) : (
          found.length === 0 && <Button wide label={t.make} onPress={() => void after(openCalendar)} />
        )}
      </ButtonRow>
    </Section>
  )
}
