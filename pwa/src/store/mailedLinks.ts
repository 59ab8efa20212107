import * as api from '../api/mailedLinks'
import { asResult } from './members'

/** A new password and a new address by a link in a mail. Nothing of it is stored on this phone. */
export const askForReset = (email: string) => asResult(api.askForReset(email))
export const resetPassword = (token: string, password: string) => asResult(api.resetPassword(token, password))
export const askForAddress = (email: string, password: string) => asResult(api.askForAddress(email, password))
export const confirmAddress = (token: string) => asResult(api.confirmAddress(token))
