import { computed } from '@preact/signals'
import type { PriceBook } from '../domain/contract'
import type { ShopPrices } from '../domain/quotes/book'
import { sendEdit } from './queue/commands'
import { allOf } from './rows/selectors'

/** The shop's price book as the server knows it; undefined until its rows have come once. */
export const priceBook = computed((): PriceBook | undefined => allOf('price_book')[0])

/** Changes the prices as a whole: what the form leaves out, the server fills in. */
export const editPriceBook = (seen: PriceBook, prices: ShopPrices) =>
  sendEdit('edit_price_book', seen, { prices: prices as PriceBook['prices'] })
