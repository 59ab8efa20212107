/** Words of the parts of a job and of what was done on a machine. */
export const jobParts = {
  title: 'Parts',
  summary: (approved: number, all: number) =>
    approved === all ? `${all} approved` : `${approved} of ${all} approved`,
  empty: 'No parts on this job',
  emptyHint: 'Parts on its quotes are listed here.',
  states: {
    approved: 'Approved',
    asked: 'Waiting for the customer',
    draft: 'On a quote being written',
    declined: 'Declined',
  },
  count: (quantity: string) => `× ${quantity}`,
}

export const machineHistory = {
  title: 'Service history',
  open: 'Open',
  wrong: 'What was wrong',
  found: 'What we found',
  done: 'What was done',
  approved: 'Approved work',
  declined: 'Declined',
  hours: 'Time',
  who: 'Who',
  jobs: (count: number) => (count === 1 ? '1 job' : `${count} jobs`),
}
