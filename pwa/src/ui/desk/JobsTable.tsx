import { TablePlace } from '../screens/lists/TablePlace'
import { JOBS } from './jobColumns'

/** All jobs, at the desk. */
export const JobsTable = ({ view }: { view?: string }) => <TablePlace table={JOBS} view={view} />
