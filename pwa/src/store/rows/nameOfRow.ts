import { shopSession } from '../session/shopSession'
import { namesOfCommands } from './rowNames'

/** The name of a row of any kind: a customer's, a machine's, the number of a job or a quote; empty without such a row. */
export const nameOfRow = (id: string): string => {
  const view = shopSession.value?.view
  return view ? (namesOfCommands(view, [{ name: 'remove_attachment', args: { id } }])[0] ?? '') : ''
}
