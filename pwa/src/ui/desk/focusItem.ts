/**
 * Gives the focus to the heading of the open item once it is there: the code of its screen may still be loading. Used
 * where the item was opened by key; a press with the pointer leaves the focus in the list.
 */
export function focusOpenItem(): void {
  const until = Date.now() + 2_000
  const look = () => {
    const heading = document.querySelector<HTMLElement>('.desk-item h1')
    if (heading) heading.focus()
    else if (Date.now() < until) requestAnimationFrame(look)
  }
  requestAnimationFrame(look)
}
