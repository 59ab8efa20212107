import type { Language } from '../../contract.ts'
import { app } from '../app'

const english = {
  skip: app.skip,
  savedHere: app.savedHere,
  notSaved: app.notSaved,
  dismiss: app.dismiss,
  unnamedMachine: app.unnamedMachine,
}

const spanish: typeof english = {
  skip: 'Ir al contenido',
  savedHere: 'Guardado en este teléfono',
  notSaved: 'No se guardó. Lo que escribió sigue aquí. Inténtelo otra vez.',
  dismiss: 'Cerrar',
  unnamedMachine: 'Máquina',
}

/**
 * The words around every screen, which the app starts with; those of the customer's screens (`READER_WORDS`) load with
 * those screens.
 */
export const PAGE_WORDS: Readonly<Record<Language, typeof english>> = { en: english, es: spanish }
