import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { type Calendar, openCalendar, readCalendars, withdrawCalendar } from '../../../store/calendar'
import { permissions } from '../../../store/session'
import { Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'

const its = en.dispatch.calendar

/** The secret address under which one's own calendar program reads one's own runs. Needs a signal. */
export function CalendarPart() {
  const [found, setFound] = useState<Calendar[] | null>(null)
  const [told, setTold] = useState('')
  if (!permissions.value.has('drive_runs')) return null

  async function after(work: () => Promise<unknown>) {
    setTold(its.looking)
    try {
      await work()
      setFound(await readCalendars())
      setTold('')
    } catch {
      setTold(its.noSignal)
    }
  }
  return (
    <Part title={its.title} hint={its.hint}>
      <p role="status">{told}</p>
      {found?.map(({ id, url }) => (
        <div key={id} class="ticket">
          <p class="copyout">{url}</p>
          <Keys tall>
            <Key wide words={its.withdraw} onPress={() => void after(() => withdrawCalendar(id))} />
          </Keys>
        </div>
      ))}
      <Keys tall>
        {found === null ? (
          <Key wide words={its.show} onPress={() => void after(async () => {})} />
        ) : (
          found.length === 0 && <Key wide words={its.make} onPress={() => void after(openCalendar)} />
        )}
      </Keys>
    </Part>
  )
}
