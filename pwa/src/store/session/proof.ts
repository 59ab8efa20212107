import { signal } from '@preact/signals'
import { proof } from '../../api/client'

/** Set while a request waits for the person to give the password or a passkey again; called with whether they did. */
export const proofAsked = signal<((given: boolean) => void) | null>(null)

/** Asks before something that is sent later, when nobody could be asked; whether it was given. */
export const proveFirst = async (): Promise<boolean> => (await proof.ask?.()) ?? false

let asking: Promise<boolean> | null = null

proof.ask = () => {
  // Requests that need it at the same time are answered together.
  asking ??= new Promise<boolean>((resolve) => {
    proofAsked.value = resolve
  }).finally(() => {
    proofAsked.value = null
    asking = null
  })
  return asking
}
