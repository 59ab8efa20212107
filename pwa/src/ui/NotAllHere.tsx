import { en } from '../domain/words'
import { ShopPage } from './ShopPage'

/** In place of a page that adds up, or lists, more than open work, until the phone has all records. */
export function NotAllHere() {
  return (
    <ShopPage title={en.coming.title}>
      <p>{en.coming.whole}</p>
    </ShopPage>
  )
}
