import { en } from '../../../domain/words'
import type { Entry } from '../../../store/entry'
import { bringBack, dismiss, tryAgain } from '../../../store/queue'
import { Key, Keys } from '../../components/Press'
import { Row } from '../../components/Rows'
import { saving, tell } from '../../telling'
import { commandTitle } from './issueWords'

const its = en.queue

/** Why the server said no, and what can be done about it. */
export function Refused({ entry }: { entry: Entry }) {
  const because = entry.fields.length ? entry.fields.map(({ words }) => words) : [entry.words ?? '']
  return (
    <>
      <Row
        lead={commandTitle(entry)}
        also={
          <>
            {entry.made_words}
            {because.map((words) => (
              <p key={words}>{its.because(words)}</p>
            ))}
          </>
        }
      />
      <Keys>
        <Key words={its.tryAgain} onPress={() => void saving(() => tryAgain(entry.id))} />
        <LetGo entry={entry} />
      </Keys>
    </>
  )
}

export function LetGo({ entry }: { entry: Entry }) {
  async function letGo() {
    if (await saving(() => dismiss(entry.id))) tell(its.dismissed, () => bringBack(entry.id), its.bring)
  }
  return <Key words={its.dismiss} onPress={() => void letGo()} />
}
