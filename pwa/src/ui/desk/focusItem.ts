/**
 * Gives the focus to the heading of the open item once it is there: the code of its screen may still be loading. Used
 * where the item was opened by key; a press with the pointer leaves the focus in the list.
 */
export const focusOpenItem = (): void => focusInItem('h1')

/** Gives the focus to the first field of the form just opened, so that what is typed next is its text. */
export const focusFirstField = (): void => focusInItem('form :is(input, select, textarea)')

function focusInItem(what: string): void {
  const until = Date.now() + 2_000
  const look = () => {
    const found = document.querySelector<HTMLElement>(`.desk-item ${what}`)
    if (found) found.focus()
    else if (Date.now() < until) requestAnimationFrame(look)
  }
  requestAnimationFrame(look)
}
