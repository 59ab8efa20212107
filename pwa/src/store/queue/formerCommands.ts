/** What builds up to 0.2.0 left on the phone, under the names of this build. Commands are sent as they stand. */

import { type Command, type CommandName, FORMER_NAMES, VERSIONS } from '../../domain/contract'
import type { OutboxEntry } from './entry'

/** Parts of the JSON of rows and arguments, and what they are called now. */
const RENAMED = [
  ['"stage":"proving"', '"stage":"testing"'],
  ['"ask_owner"', '"ask_customer"'],
  ['"owner_asked"', '"customer_asked"'],
  ['{owner}', '{customer}'],
] as const

/** A value of plain JSON with the names of this build. */
export function withNewNames<Value>(value: Value): Value {
  const text = RENAMED.reduce((json, [former, now]) => json.replaceAll(former, now), JSON.stringify(value))
  return JSON.parse(text) as Value
}

export const currentName = (name: string): CommandName => FORMER_NAMES[name] ?? (name as CommandName)

/** The name and the arguments that the command has in this build. Twins of `upgrades=` of the commands on the server. */
export function currentCommand({ name: sent, args, v }: Pick<OutboxEntry, 'name' | 'args' | 'v'>): Command {
  const name = currentName(sent)
  return { name, args: v < (VERSIONS[name] ?? 1) ? withNewNames(args) : args } as unknown as Command
}
