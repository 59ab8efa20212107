import { useEffect, useState } from 'preact/hooks'
import { crew as its } from '../../../domain/words.crew'
import { type Answered, type CrewMember, readCrew } from '../../../store/crew'
import { tell } from '../../telling'

/** Who works here, read from the server when the screen is shown and after each change. */
export function useCrew(): { members: CrewMember[] | undefined; failed: boolean; read: () => Promise<void> } {
  const [members, setMembers] = useState<CrewMember[]>()
  const [failed, setFailed] = useState(false)

  async function read() {
    setFailed(false)
    try {
      setMembers(await readCrew())
    } catch {
      setFailed(true)
    }
  }
  useEffect(() => {
    void read()
  }, [])
  return { members, failed, read }
}

/** Tells what came of a change, with its undo where there is one. */
export function tellAnswer(answer: Answered, words: string, undo?: () => Promise<unknown>): void {
  if (answer.done) tell(words, undo)
  else tell(answer.words || its.noSignal)
}
