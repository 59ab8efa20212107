// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import { en } from '../../../domain/words'
import { sheets as t } from '../../../domain/words/sheets'
import { allOf } from '../../../store/rows/selectors'
import { button, press, root, showScreen } from '../../fakes/screen'
import { currentToast } from '../../toast'
import { KeepForNext } from './KeepForNext'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

const names = {
  make: 'Hartvale',
  model: 'GT 18',
  engine_make: '',
  engine_model: '',
  serial: '',
  engine_serial: '',
}
const machine = { id: 'm', kind: 'garden tractor', ...names } as never

test('one press makes the sheet of the machine with the entry, and can be undone', async () => {
  const words = 'Drain the fuel first'
  await showScreen(
    () => {},
    () => <KeepForNext kept={{ entry: { kind: 'lesson', words } }} from={{ machine, job_mark: 'J-1001' }} />,
  )
  await press(button(t.keep))
  expect(allOf('sheet').map(({ title, model }) => [title, model])).toEqual([['Hartvale GT 18', 'GT 18']])
  expect(allOf('sheet_entry')).toMatchObject([{ words, kind: 'lesson', machine_id: 'm', job_mark: 'J-1001' }])
  expect(root.querySelector('a')?.textContent).toBe(t.kept('Hartvale GT 18'))
  currentToast.value?.undo?.()
  await vi.waitFor(() => expect(currentToast.value?.text).toBe(en.app.undone))
  expect([allOf('sheet'), allOf('sheet_entry')]).toEqual([[], []])
  expect(button(t.keep)).toBeTruthy()
})
