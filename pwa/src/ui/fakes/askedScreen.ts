import { type ComponentChild, render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach } from 'vitest'

/** Set-up of tests that show one screen whose rows are asked of the server, which the test answers for. */

export const root = document.createElement('div')
document.body.append(root)

afterEach(() => acting(() => render(null, root)))

/** Does something, then lets what the server answered be shown. */
export async function acting(work: () => void): Promise<void> {
  await act(async () => work())
  await act(() => new Promise((resolve) => setTimeout(resolve)))
}

export const shown = (what: ComponentChild) => acting(() => render(what, root))

/** Presses the first button with these words in it, which has to be there. */
export const press = (words: string) =>
  acting(() => {
    const found = [...root.querySelectorAll('button')].find((each) => each.textContent?.includes(words))
    if (!found) throw new Error(`no button “${words}”`)
    found.click()
  })

/** Sends the form. */
export const save = () =>
  acting(() => {
    root.querySelector('form')?.dispatchEvent(new SubmitEvent('submit', { bubbles: true, cancelable: true }))
  })
