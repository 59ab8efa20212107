import { dayIn, moment } from '../../../domain/time'
import { en } from '../../../domain/words/index'
import type { DraftRecord } from '../../../store/database/shopDatabase'
import { discardDraft } from '../../../store/drafts'
import { formPicturesOf } from '../../../store/pictures/attachments'
import { shopSession } from '../../../store/session/shopSession'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { parseRoute } from '../../router'
import { format, today, zone } from '../../shopFormat'
import { saveWithToast, showToast } from '../../toast'

const t = en.drafts

/** On Today: forms that were started and not saved, each with a link and a discard button. */
export function UnfinishedForms() {
  const drafts = [...(shopSession.value?.drafts.value.values() ?? [])].sort((a, b) => b.typed_at - a.typed_at)
  return (
    <Section title={t.title(drafts.length)}>
      <List items={drafts} keyOf={(draft) => draft.name} empty="">
        {(draft) => <DraftItem draft={draft} />}
      </List>
    </Section>
  )
}

function DraftItem({ draft }: { draft: DraftRecord }) {
  const { path, title, over, typed_at } = draft
  const at = moment(typed_at)
  const when = dayIn(zone.value, typed_at) === today() ? format.value.time(at) : format.value.moment(at)
  const pictures = formPicturesOf(draft.name).length

  async function discard() {
    let undo: () => Promise<void> = async () => undefined
    const done = await saveWithToast(async () => {
      undo = await discardDraft(draft)
    })
    if (done) showToast(t.discarded, undo)
  }
  return (
    <>
      <ListItem
        title={t.row(title || t.older, when)}
        details={en.app.joined([over, pictures ? t.pictures(pictures) : ''])}
        {...(path && { to: parseRoute(new URL(path, location.origin)) })}
      />
      <ButtonRow>
        <Button label={t.discard} onPress={() => void discard()} />
      </ButtonRow>
    </>
  )
}
