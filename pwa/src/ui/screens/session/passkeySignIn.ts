import { en } from '../../../domain/words'
import { secondStep as t } from '../../../domain/words/factors'
import { signInWithPasskey } from '../../../store/factors'
import { signWithPasskey } from '../../features/passkeys/browserPasskeys'

/** Signs in with a passkey alone. Returns null, or the error text. */
export async function passkeySignIn(): Promise<string | null> {
  const answer = await signInWithPasskey(signWithPasskey).catch(() => null)
  if (answer?.done) return null
  if (answer?.because === 'no_signal') return en.signIn.noSignal
  return answer?.words || t.declinedAlone
}
