import { KINDS, type Kind } from './contract.ts'

export function isKind(name: string): name is Kind {
  return (KINDS as readonly string[]).includes(name)
}
