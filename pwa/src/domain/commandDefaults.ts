import { type CommandName, type Commands, type CompleteArguments, LEFT_OUT } from './contract.ts'

/** The arguments of a command with the server's defaults for omitted ones. */
export function withDefaults<Name extends CommandName>(
  name: Name,
  args: Commands[Name],
): CompleteArguments<Name> {
  const defaults: { readonly [Each in CommandName]?: object } = LEFT_OUT
  return { ...defaults[name], ...args } as CompleteArguments<Name>
}
