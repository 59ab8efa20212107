import type { Notice } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { markSentByHand, resendNotice } from '../../../store/notices'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { messageLink, openWhole, shownText } from './messageLink'

const t = en.messages.log

export function NoticeRow({ row }: { row: Notice }) {
  const { time } = format.value
  const mail = row.address.includes('@')
  const when = row.state === 'waiting' && Date.parse(row.not_before) > Date.now()
  const link = messageLink(row, row)
  const also = en.app.joined([
    t.channels[row.channel],
    row.reason,
    when ? t.until(time(row.not_before)) : undefined,
  ])
  const again = row.state === 'refused' || row.state === 'unknown' || when
  return (
    <>
      <ListItem title={shownText(row)} value={t.states[row.state]} details={also} />
      {permissions.value.has('message') && (again || row.state === 'by_hand') && (
        <ButtonRow>
          {row.state === 'by_hand' && !row.has_link && <Button label={mail ? t.mail : t.text} href={link} />}
          {row.state === 'by_hand' && row.has_link && (
            <Button label={mail ? t.mail : t.text} onPress={() => void openWhole(row)} />
          )}
          {row.state === 'by_hand' && (
            <Button
              label={t.sentIt}
              onPress={() => void saveWithToast(() => markSentByHand(row.id), t.noted)}
            />
          )}
          {again && row.channel !== 'by_hand' && (
            <Button
              label={when ? t.sendNow : t.again}
              onPress={() => void saveWithToast(() => resendNotice(row.id), t.goesAgain)}
            />
          )}
        </ButtonRow>
      )}
    </>
  )
}
