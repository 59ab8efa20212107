import { en } from '../../../domain/words/index'
import { forgetLost } from '../../../store/queue/lostWork'
import { syncSummary } from '../../../store/queue/queue'
import { shopSession } from '../../../store/session/shopSession'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'
import { commandTitle } from './issueText'

const t = en.lost

/** What was unsent when the browser cleared the storage, unless the server is known to have it. */
export function LostWork() {
  const lost = shopSession.value?.lost.value
  if (!lost) return null
  const { signal, ready } = syncSummary.value
  const when = format.value.moment(lost.at)
  const things = [
    ...lost.unsent.map((each) => ({
      id: each.id,
      lead: commandTitle(each),
      also: en.app.joined([each.made_words, format.value.moment(each.wall)]),
    })),
    ...lost.pictures.map((id) => ({ id, lead: t.picture, also: undefined })),
  ]
  return (
    <Section title={t.title} hint={signal === 'yes' && ready ? t.hint(when) : t.asking(when)}>
      <List items={things} keyOf={({ id }) => id} empty="">
        {({ lead, also }) => <ListItem title={lead} details={also} />}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.checked} onPress={forgetLost} />
      </ButtonRow>
    </Section>
  )
}
