import { computed } from '@preact/signals'
import type { Shop } from '../domain/contract'
import { type Changes, sendEdit } from './queue/commands'
import { allOf, byAge } from './rows/selectors'

/** The shop's row; undefined until it has been fetched. */
export const shop = computed((): Shop | undefined => allOf('shop')[0])

export const members = computed(() => allOf('member').sort(byAge))

export const editShop = (seen: Shop, wanted: Changes<'edit_shop'>) => sendEdit('edit_shop', seen, wanted)
