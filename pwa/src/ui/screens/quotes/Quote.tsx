import { quote } from '../../../store/quotes'
import { NotFound } from '../../NotFound'
import { QuoteBuilder } from './QuoteBuilder'
import { QuoteResult } from './QuoteResult'

/** A quote: the builder while it is a draft, else the result. */
export function Quote({ id }: { id: string }) {
  const row = quote(id)
  if (!row) return <NotFound />
  return row.state === 'draft' ? <QuoteBuilder row={row} /> : <QuoteResult row={row} />
}
