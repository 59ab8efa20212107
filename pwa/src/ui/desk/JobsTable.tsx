import { TablePlace } from '../features/tables/TablePlace'
import { JOBS } from './jobColumns'

/** All jobs, at the desk. */
export const JobsTable = ({ view }: { view?: string }) => <TablePlace table={JOBS} view={view} />
