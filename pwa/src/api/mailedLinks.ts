import { call } from './client'
import { readSession } from './session'

/** Asks for a mail with a link to set a new password. @throws NoSignal; Problem `no_mail_server` */
export async function askForReset(email: string): Promise<void> {
  await readSession()
  await call('POST', '/api/v1/session/reset', { body: { email } })
}

/** Sets a new password by the token of a mailed link. @throws NoSignal; Problem `link_over`, or with its fields */
export async function resetPassword(token: string, password: string): Promise<void> {
  await readSession()
  await call('POST', '/api/v1/session/reset/password', { body: { token, password } })
}

/** Asks for another address to sign in with. @throws NoSignal; Problem with its fields */
export async function askForAddress(email: string, password: string): Promise<void> {
  await call('POST', '/api/v1/session/address', { body: { email, password } })
}

/** Confirms a new address by the token of a mailed link. @throws NoSignal; Problem `link_over` */
export async function confirmAddress(token: string): Promise<void> {
  await readSession()
  await call('POST', '/api/v1/session/address/confirm', { body: { token } })
}
