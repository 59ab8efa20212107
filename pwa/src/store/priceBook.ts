import { computed } from '@preact/signals'
import type { PriceBook, PricePart } from '../domain/contract'
import type { ShopPrices } from '../domain/quotes/book'
import { unconfirmed, withConfirmed } from '../domain/quotes/confirmed'
import { enqueue } from './queue/outbox'
import { allOf } from './rows/selectors'

/** The shop's price book as the server knows it; undefined until its rows have come once. */
export const priceBook = computed((): PriceBook | undefined => allOf('price_book')[0])

/** The parts of it that nobody has confirmed: until then no quote is offered. */
export const unconfirmedPrices = computed((): PricePart[] =>
  priceBook.value ? unconfirmed(priceBook.value.confirmed) : [],
)

/** Changes the prices as a whole, and confirms the parts that were looked at; nothing where neither is new. */
export async function editPriceBook(
  seen: PriceBook,
  prices: ShopPrices,
  parts: readonly PricePart[],
): Promise<void> {
  const before = priceBook.value?.confirmed ?? []
  const confirmed = withConfirmed(before, parts)
  if (confirmed.length === before.length && JSON.stringify(prices) === JSON.stringify(seen.prices)) return
  await enqueue('edit_price_book', {
    id: seen.id,
    base: { prices: seen.prices, confirmed: before },
    set: { prices: prices as PriceBook['prices'], confirmed },
  })
}
