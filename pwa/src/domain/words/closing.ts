/** What ends a job, by the stage that it goes to. */
export const goesTo = { returned: 'Customer has it back', closed: 'Close the job' }
