import { named } from '../named.ts'

/** Words of the layout for wide screens. */
export const desk = {
  /** The tabs, in the order of the desk's places. */
  places: /* @__PURE__ */ named({
    today: 'Today',
    jobs: 'Jobs',
    quotes: 'Quotes',
    road: 'Road',
    customers: 'Customers',
    machines: 'Machines',
    stops: 'Stops',
    hours: 'Hours',
    more: 'More',
  }),
  openItem: 'Open item',
  nothingOpen: 'Nothing open. Choose a row.',
}
