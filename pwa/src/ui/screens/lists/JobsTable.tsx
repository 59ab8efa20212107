import { JOBS } from './jobColumns'
import { TablePlace } from './TablePlace'

/** All jobs, at the desk. */
export const JobsTable = ({ view }: { view?: string }) => <TablePlace table={JOBS} view={view} />
