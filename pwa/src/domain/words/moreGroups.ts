// Headings of the screens under More: loaded with that screen.

export const moreGroups = {
  work: 'Machines and bench',
  parts: 'Parts',
  money: 'Money',
  time: 'Hours',
  shop: 'Shop and settings',
}
