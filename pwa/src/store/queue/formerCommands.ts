/** What earlier builds left on the phone, under the names of this build. Commands are sent unchanged. */

import { type Command, type CommandName, FORMER_NAMES, VERSIONS } from '../../domain/contract'
import type { OutboxEntry } from './entry'

type Renamed = readonly (readonly [former: string, now: string])[]

/** Parts of the JSON of rows and arguments up to 0.2.0, and what they are called since. */
export const RENAMED_BY_0_3: Renamed = [
  ['"stage":"proving"', '"stage":"testing"'],
  ['"ask_owner"', '"ask_customer"'],
  ['"owner_asked"', '"customer_asked"'],
  ['{owner}', '{customer}'],
]

/** The same up to 0.3.0. */
export const RENAMED_BY_0_4: Renamed = [
  ['"doubt":', '"anomaly":'],
  ['"meter_doubt":', '"meter_anomaly":'],
  ['"told_from":', '"notified_from":'],
  ['"told_to":', '"notified_to":'],
  ['"told_at":', '"notified_at":'],
  ['"paper":{', '"pdf":{'],
  ['/paper","bytes":', '/pdf","bytes":'],
  ['"paper":"', '"paper_size":"'],
  ['"remake_paper"', '"remake_pdf"'],
]

/** A value of plain JSON with the new names; the same object where it has none of the former. */
export function withNewNames<Value>(value: Value, renamed: Renamed): Value {
  const before = JSON.stringify(value)
  const text = renamed.reduce((json, [former, now]) => json.replaceAll(former, now), before)
  return text === before ? value : (JSON.parse(text) as Value)
}

export const currentName = (name: string): CommandName => FORMER_NAMES[name] ?? (name as CommandName)

/** The name and the arguments that the command has in this build. Twins of `upgrades=` of the commands on the server. */
export function currentCommand({ name: sent, args, v }: Pick<OutboxEntry, 'name' | 'args' | 'v'>): Command {
  const name = currentName(sent)
  return {
    name,
    args:
      v < (VERSIONS[name] ?? 1)
        ? withNewNames(v < 2 ? withNewNames(args, RENAMED_BY_0_3) : args, RENAMED_BY_0_4)
        : args,
  } as unknown as Command
}
