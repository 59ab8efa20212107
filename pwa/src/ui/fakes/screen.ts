import { type ComponentChild, render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect } from 'vitest'
import { type Moment, moment } from '../../domain/time'
import { newId } from '../../store/browser/clock'
import { Phone } from '../../store/fakes/phone'
import { FakeServer } from '../../store/fakes/server'
import { shopSession } from '../../store/session/shopSession'

/** Set-up of tests that show one screen on a phone with rows of a server in memory. */

export const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
  phone = undefined
})

/** Fields that every row has. */
export function born(at: Moment = moment(Date.now())) {
  return { created_at: at, changed_at: at }
}

/** Puts rows on a server, has a phone sync them, and shows a screen on it. */
export async function showScreen(
  fill: (server: FakeServer) => void,
  screen: () => ComponentChild,
  member_id: string = newId(),
): Promise<Phone> {
  const server = new FakeServer()
  fill(server)
  await phone?.close()
  phone = await Phone.open(server, { shop_id: newId(), member_id })
  await phone.sync()
  shopSession.value = phone.shop
  await act(() => render(screen(), root))
  return phone
}

export const button = (text: string) =>
  [...root.querySelectorAll('button')].find((each) => each.textContent?.startsWith(text))

/** Presses an element, which has to be there, and waits until what it saved is shown. */
export async function press(element: HTMLElement | null | undefined): Promise<void> {
  expect(element).toBeTruthy()
  await act(async () => {
    element?.click()
    await new Promise((resolve) => setTimeout(resolve, 20))
    await phone?.quiet()
  })
}
