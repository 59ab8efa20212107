import { en } from '../../../domain/words'
import { attachment } from '../../../store/pictures/attachments'
import { unsentPictures } from '../../../store/queue/queue'
import { nameOfRow } from '../../../store/rows/nameOfRow'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { uploadStatus } from '../../features/pictures/uploadStatus'

const t = en.pictures

/** The pictures still to be uploaded. */
export function PicturesToSend() {
  const pictures = unsentPictures.value
  if (pictures.length === 0) return null
  return (
    <Section title={t.toSend.title} hint={t.toSend.hint}>
      <List items={pictures} keyOf={({ id }) => id} empty="">
        {({ id }) => {
          const row = attachment(id)
          return (
            <ListItem
              title={row ? uploadStatus(row) : t.status.here}
              details={nameOfRow(id)}
              {...(row && { to: { at: 'picture', id } as const })}
            />
          )
        }}
      </List>
    </Section>
  )
}
