import { en } from '../../../domain/words'
import { aboutWords, attachment } from '../../../store/attachments'
import { unsentPictures } from '../../../store/queue'
import { Part } from '../../components/Part'
import { Row, Rows } from '../../components/Rows'
import { standing } from '../pictures/standing'

const its = en.pictures

/** The pictures that are still to go, apart from the words. */
export function PicturesToSend() {
  const pictures = unsentPictures.value
  if (pictures.length === 0) return null
  return (
    <Part title={its.toSend.title} hint={its.toSend.hint}>
      <Rows items={pictures} keyOf={({ id }) => id} empty="">
        {({ id }) => {
          const row = attachment(id)
          return (
            <Row
              lead={row ? standing(row) : its.stands.here}
              also={aboutWords(id)}
              {...(row && { to: { at: 'picture', id } as const })}
            />
          )
        }}
      </Rows>
    </Part>
  )
}
