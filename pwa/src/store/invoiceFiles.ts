import { exchange } from '../api/client'
import { answered, type ImportAnswer } from './customerImports'

export type InvoiceFile = 'ubl' | 'factur-x'

/** An issued invoice as a file by EN 16931, which the server makes. */
export const readInvoiceFile = (id: string, file: InvoiceFile): Promise<ImportAnswer<Blob>> =>
  answered(exchange('GET', `/api/v1/invoices/${id}/${file}`).then((response) => response.blob()))
