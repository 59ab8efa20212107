import { computed } from '@preact/signals'
import type { ShopFields } from '../domain/commands'
import type { Shop } from '../domain/rows'
import { editOf } from './editing'
import { enqueue } from './outbox'
import { all, byAge } from './shown'

/** The shop as the server knows it; undefined until its rows have come once. */
export const shop = computed((): Shop | undefined => all('shop')[0])

export const members = computed(() => all('member').sort(byAge))

/** Changes the fields that differ from what the person saw. */
export async function editShop(seen: Shop, wanted: Partial<Pick<Shop, ShopFields>>): Promise<void> {
  const edit = editOf(seen, wanted)
  if (edit) await enqueue('edit_shop', edit)
}
