import { examplesOf, fill, type WordingChannel } from '../../../domain/notices/templates'
import { en } from '../../../domain/words'
import { words as t } from '../../../domain/words/noticeSettings'
import { messageTypes } from '../../../domain/words/noticeTypes'
import { ownWording } from '../../../store/notices'
import { shop } from '../../../store/shop'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'

/** All messages with their text on each channel. */
export function Wordings() {
  return (
    <ShopPage title={t.title} subtitle={t.explain}>
      {Object.entries(messageTypes).map(([key, type]) => (
        <Section key={key} title={t.types[key] ?? key}>
          <List items={Object.keys(type.words) as WordingChannel[]} keyOf={(channel) => channel} empty="">
            {(channel) => {
              const own = ownWording(key, channel)
              return (
                <ListItem
                  title={en.messages.log.channels[channel]}
                  value={own && t.own}
                  details={fill(
                    (own ?? type.words[channel])?.body ?? '',
                    examplesOf(type, shop.value?.name ?? ''),
                  )}
                  to={{ at: 'wording', id: key, channel }}
                />
              )
            }}
          </List>
        </Section>
      ))}
    </ShopPage>
  )
}
