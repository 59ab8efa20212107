import { counted } from './plural'

const lines = (count: number) => counted(count, 'line', 'lines')

/** Words of stops at suppliers: asked for from an order, and for the driver. */
export const fetchStops = {
  toFetch: 'To fetch',
  nothing: 'Nothing is to come from here',
  nothingHint: 'Orders that were sent show up here until their parts have come.',
  hereNow: 'Fetched',
  all: (count: string) => `Got all ${count}`,
  other: 'Another count, wrong or damaged',
  got: (part: string) => `${part}: got it`,
  leftOpen: (count: number) => `Left. ${lines(count)} not fetched: still open on the order`,
  stillOpen: (count: number) => `${lines(count)} not fetched. They stay open on the order.`,
  toOrder: 'Not ordered yet',
  hours: 'Open',
  noAddress: 'No address of this supplier yet',
  setPlace: 'Set address and hours',
  noPosition: 'No position of this supplier yet. Set it so that a plan can include the stop.',
  // Where a stop is asked for.
  fetch: 'Fetch on the road',
  onRun: (rig: string) => `Fetch today with ${rig}`,
  onOwnRun: 'Fetch on my run today',
  later: 'Fetch on a later run',
  added: (supplier: string) => `Stop at ${supplier} added`,
  planned: (day: string) => `Stop planned for ${day}`,
  waiting: 'Stop waits for a run',
}
