import { amountWords } from '../domain/words/amounts'
import { typedFormat } from './shopFormat'

/** What is said of a field in which no amount can be read, with one that the shop's currency can have. */
export const badAmount = (): string => amountWords.bad(typedFormat.value.typedMoney(1250))
