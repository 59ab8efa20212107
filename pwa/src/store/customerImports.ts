import * as api from '../api/customerImports'
import { NoSignal, Problem } from '../api/problem'
import type {
  SchemaCustomerImportRow,
  SchemaImportCheck,
  SchemaImportColumn,
  SchemaImportOptionsRequest,
} from '../api/schema'
import { newId } from './browser/clock'

/**
 * Imports of an address book. The server reads the file, since it has the rules and the customers to compare with;
 * it keeps the file until the import is done, so an interruption loses nothing.
 */
export type BookImport = Omit<SchemaCustomerImportRow, 'created_at' | 'changed_at'>
export type ImportCheck = SchemaImportCheck
export type ImportColumn = SchemaImportColumn
/** Fields by the place of their column; rows to add although they look known. */
export type ImportOptions = Required<SchemaImportOptionsRequest>

/** The answer, or why there is none; an empty message means that the server did not answer. */
export type ImportAnswer<Value> = { value: Value } | { words: string }

export const readImports = () => answered(api.readImports())
export const readImport = (id: string): Promise<ImportAnswer<BookImport>> => answered(api.readImport(id))
export const checkImport = (id: string, options: ImportOptions) => answered(api.checkImport(id, options))
export const startImport = (id: string, options: ImportOptions) =>
  answered(api.startImport(id, newId(), options))
export const undoImport = (id: string) => answered(api.undoImport(id, newId()))

/** A chosen file with the id of its import: uploading it again under this id is the same upload. */
export interface ChosenFile {
  id: string
  file: File
}
export const choose = (file: File): ChosenFile => ({ id: newId(), file })

export const upload = ({ id, file }: ChosenFile) =>
  answered(file.arrayBuffer().then((bytes) => api.uploadBook(id, file.name, new Uint8Array(bytes))))

/** What a request to the server came to. */
export async function answered<Value>(asked: Promise<Value>): Promise<ImportAnswer<Value>> {
  try {
    return { value: await asked }
  } catch (error) {
    if (error instanceof NoSignal) return { words: '' }
    if (!(error instanceof Problem)) throw error
    return { words: error.fields[0]?.words || error.message }
  }
}
