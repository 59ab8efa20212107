import {
  examplesOf,
  fill,
  firstWords,
  type MessageType,
  type WordingChannel,
} from '../../../domain/notices/templates'
import { en } from '../../../domain/words'
import { LANGUAGES } from '../../../domain/words/languages'
import { words as t } from '../../../domain/words/noticeSettings'
import { messageTypes } from '../../../domain/words/noticeTypes'
import { ownWording } from '../../../store/notices'
import { shop } from '../../../store/shop'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'

/** The texts of a kind of message: first those in English. */
const textsOf = (type: MessageType) =>
  LANGUAGES.flatMap((language) =>
    (Object.keys(firstWords(type, language)) as WordingChannel[]).map((channel) => ({ channel, language })),
  )

/** All messages with their text on each channel. */
export function Wordings() {
  return (
    <ShopPage title={t.title} subtitle={t.explain}>
      {Object.entries(messageTypes).map(([key, type]) => (
        <Section key={key} title={t.types[key] ?? key}>
          <List items={textsOf(type)} keyOf={({ channel, language }) => `${channel}:${language}`} empty="">
            {({ channel, language }) => {
              const own = ownWording({ key, channel, language })
              const title = en.messages.log.channels[channel]
              return (
                <ListItem
                  title={language === 'es' ? t.inSpanish(title) : title}
                  value={own && t.own}
                  details={fill(
                    (own ?? firstWords(type, language)[channel])?.body ?? '',
                    examplesOf(type, shop.value?.name ?? ''),
                  )}
                  to={
                    language === 'es'
                      ? { at: 'wording-in', id: key, channel, language }
                      : { at: 'wording', id: key, channel }
                  }
                />
              )
            }}
          </List>
        </Section>
      ))}
    </ShopPage>
  )
}
