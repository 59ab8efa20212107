import { computed, signal } from '@preact/signals'
import { type TextSize, textSize } from '../store/browser/preferences'

/** The width from which a list and an open item fit beside each other, in rem of the browser's own text size. */
const DESK_WIDTH_REM = 62.5
/** How much larger the app's text is than the browser's; as in `styles/base.css`. */
const TEXT_SCALE: Record<TextSize, number> = { usual: 1, large: 1.31, huge: 2 }

/** A media query as a signal; false where there is no window. */
function matches(query: string) {
  const list = typeof matchMedia === 'function' ? matchMedia(query) : null
  const now = signal(list?.matches ?? false)
  list?.addEventListener('change', () => {
    // While printing the width is that of the paper: what is printed is what was shown.
    if (!matchMedia('print').matches) now.value = list.matches
  })
  return now
}

const wideEnough = Object.fromEntries(
  Object.entries(TEXT_SCALE).map(([size, scale]) => [
    size,
    matches(`(min-width: ${DESK_WIDTH_REM * scale}rem)`),
  ]),
) as Record<TextSize, ReturnType<typeof matches>>

/** Whether the screen has the desk's layout. With larger text, the app's or the browser's, the phone's layout comes back. */
export const isWide = computed((): boolean => wideEnough[textSize.value].value)
