/** Words of the parts of a job and of what was done on a machine. */
export const jobParts = {
  title: 'Parts',
  /** How many have not come, or are fitted, of how many that the job needs; how many are only on quotes. */
  summary({ open = 0, all = 0, fitted = 0, offered = 0 }) {
    if (open) return `${open} of ${all} to come`
    if (all) return fitted === all ? `${all} fitted` : `${all - fitted} here to fit`
    return offered ? `${offered} on quotes` : ''
  },
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
