import { quote } from '../../../store/quotes'
import { Nowhere } from '../Nowhere'
import { Builder } from './Builder'
import { Result } from './Result'

/** A quote: being written, or as it was shown and decided. */
export function Quote({ id }: { id: string }) {
  const row = quote(id)
  if (!row) return <Nowhere />
  return row.state === 'draft' ? <Builder row={row} /> : <Result row={row} />
}
