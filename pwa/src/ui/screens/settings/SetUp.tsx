import { en } from '../../../domain/words'
import { shop } from '../../../store/shop'
import { SetUpList } from '../../features/setUp/SetUpList'
import { ShopPage } from '../../ShopPage'

/** Every step of the first set-up, skipped ones too. */
export function SetUp() {
  return (
    <ShopPage title={shop.value?.name ?? en.setUp.title}>
      <SetUpList withSkipped />
    </ShopPage>
  )
}
