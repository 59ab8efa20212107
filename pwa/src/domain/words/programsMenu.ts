/** What opens the screen of other programs, in the menu. */
export const programsMenu = {
  title: 'Other programs',
  hint: 'Let the bookkeeping or a website know what changed',
}
