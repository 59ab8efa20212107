import { examplesOf, fill, type WordingChannel } from '../../../domain/template'
import { en } from '../../../domain/words'
import { sorts } from '../../../domain/words.notices'
import { ownWording } from '../../../store/notices'
import { permissions } from '../../../store/session'
import { shop } from '../../../store/shop'
import { Part } from '../../components/Part'
import { Row, Rows } from '../../components/Rows'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'

const its = en.messages.words

/** Every message there is, with what it says over each way it can go. */
export function Wordings() {
  if (!permissions.value.has('edit_shop')) return <Nowhere back={{ at: 'messages' }} />
  return (
    <Sheet title={its.title} under={its.explain} back={{ at: 'messages' }}>
      {Object.entries(sorts).map(([key, sort]) => (
        <Part key={key} title={its.sorts[key] ?? key}>
          <Rows items={Object.keys(sort.words) as WordingChannel[]} keyOf={(channel) => channel} empty="">
            {(channel) => {
              const own = ownWording(key, channel)
              return (
                <Row
                  lead={en.messages.log.channels[channel]}
                  figure={own && its.own}
                  also={fill(
                    (own ?? sort.words[channel])?.body ?? '',
                    examplesOf(sort, shop.value?.name ?? ''),
                  )}
                  to={{ at: 'wording', id: key, channel }}
                />
              )
            }}
          </Rows>
        </Part>
      ))}
    </Sheet>
  )
}
