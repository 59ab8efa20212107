/** The heading of the current screen, by which its draft is named. */
export const heading = { title: '', over: '' }
