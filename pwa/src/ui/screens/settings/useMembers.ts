import { useEffect, useState } from 'preact/hooks'
import { crew as t } from '../../../domain/words/members'
import {
  type ActionResult,
  type InvitedMember,
  readInvited,
  readMembers,
  type ShopMemberRow,
} from '../../../store/members'
import { showToast } from '../../toast'

/** The members of the shop, read from the server when the screen is shown and after each change. */
export function useMembers(): {
  members: ShopMemberRow[] | undefined
  invited: InvitedMember[]
  failed: boolean
  read: () => Promise<void>
} {
  const [members, setMembers] = useState<ShopMemberRow[]>()
  const [invited, setInvited] = useState<InvitedMember[]>([])
  const [failed, setFailed] = useState(false)

  async function read() {
    setFailed(false)
    try {
      const [crew, asked] = await Promise.all([readMembers(), readInvited()])
      setInvited(asked)
      setMembers(crew)
    } catch {
      setFailed(true)
    }
  }
  useEffect(() => {
    void read()
  }, [])
  return { members, invited, failed, read }
}

/** Shows the outcome of a change, with undo where there is one. */
export function showAnswer(answer: ActionResult, words: string, undo?: () => Promise<unknown>): void {
  if (answer.done) showToast(words, undo)
  else showToast(answer.words || t.noSignal)
}

/** The server's answer as `useForm` takes it: done, errors by field, or one message. */
export const formAnswer = (answer: ActionResult): ActionResult =>
  answer.done ? answer : { ...answer, words: answer.words || t.noSignal }
