/**
 * Keeps the keyboard where it was when a press removes the very element that had the focus, such as Start, which becomes
 * Stop: the browser would put it back to the top of the page.
 *
 * `main` is watched until the returned function is called.
 */
export function keepFocusIn(main: HTMLElement): () => void {
  let path: Element[] = []
  const remember = ({ target }: FocusEvent) => {
    path = target instanceof Element ? ancestorsOf(target, main) : []
  }
  const observer = new MutationObserver(() => {
    const [focused, ...around] = path
    if (!focused || focused.isConnected || document.activeElement !== document.body) return
    path = []
    for (const place of around) {
      if (!place.isConnected) continue
      // A whole page is begun again at its heading.
      for (const next of [
        ...place.querySelectorAll<HTMLElement>(HEADING),
        ...place.querySelectorAll<HTMLElement>(FOCUSABLE),
      ]) {
        next.focus({ preventScroll: true })
        // What is hidden or disabled does not take it.
        if (document.activeElement === next) return
      }
    }
  })
  main.addEventListener('focusin', remember)
  observer.observe(main, { childList: true, subtree: true })
  return () => {
    main.removeEventListener('focusin', remember)
    observer.disconnect()
  }
}

const FOCUSABLE = 'a[href], button, input, select, textarea, summary'
const HEADING = 'h1[tabindex]'

function ancestorsOf(element: Element, top: Element): Element[] {
  const found: Element[] = []
  for (let at: Element | null = element; at && at !== top.parentElement; at = at.parentElement) found.push(at)
  return found
}
