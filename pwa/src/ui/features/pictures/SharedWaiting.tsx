import { useEffect, useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { countShared } from '../../../store/pictures/sharedCache'
import { ListItem } from '../../components/List'

/** On Today, while something shared from another app has no place yet: the way to give it one. */
export function SharedWaiting() {
  const [count, setCount] = useState(0)
  useEffect(() => void countShared().then(setCount), [])
  return count > 0 ? <ListItem title={en.today.shared} value={String(count)} to={{ at: 'share' }} /> : null
}
