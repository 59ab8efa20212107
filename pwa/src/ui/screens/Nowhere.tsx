import { en } from '../../domain/words'
import { Slab } from '../components/Press'
import type { Place } from '../router'
import { Sheet } from './Sheet'

/** What is shown where the thing asked for is not on this phone. */
export function Nowhere({ back = { at: 'today' } }: { back?: Place }) {
  return (
    <Sheet title={en.app.notFound} back={back} dock={<Slab words={en.app.today} to={{ at: 'today' }} />}>
      <p>{en.app.notFoundHint}</p>
    </Sheet>
  )
}
