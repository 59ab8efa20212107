import { useRef, useState } from 'preact/hooks'
import type { ImportAnswer } from '../../../store/customerImports'

export interface RequestState<What extends string> {
  /** What is asked for just now. */
  busy: What | null
  /** Why the last request failed, for people. */
  trouble: string
  /** Asks the same again. */
  retry: () => void
  ask: <Value>(
    what: What,
    request: () => Promise<ImportAnswer<Value>>,
    then: (value: Value) => unknown,
  ) => Promise<void>
}

/** Requests of a screen: of several for the same, only the last is heard. `silence` is shown without an answer. */
export function useRequest<What extends string>(silence: string): RequestState<What> {
  const [busy, setBusy] = useState<What | null>(null)
  const [trouble, setTrouble] = useState('')
  const retry = useRef(() => {})
  const last = useRef<Partial<Record<What, object>>>({})
  const ask: RequestState<What>['ask'] = async (what, request, then) => {
    const mine = {}
    last.current[what] = mine
    setBusy(what)
    setTrouble('')
    const answer = await request()
    if (last.current[what] !== mine) return
    setBusy((present) => (present === what ? null : present))
    if ('value' in answer) await then(answer.value)
    else {
      retry.current = () => void ask(what, request, then)
      setTrouble(answer.words || silence)
    }
  }
  return { busy, trouble, retry: () => retry.current(), ask }
}
