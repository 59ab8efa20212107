import type { CommandName, Commands, CompleteArguments } from './contract.ts'
import { LEFT_OUT } from './contractDefaults.ts'

/** The arguments of a command with the server's defaults for omitted ones. */
export function withDefaults<Name extends CommandName>(
  name: Name,
  args: Commands[Name],
): CompleteArguments<Name> {
  const defaults: { readonly [Each in CommandName]?: object } = LEFT_OUT
  return { ...defaults[name], ...args } as CompleteArguments<Name>
}
