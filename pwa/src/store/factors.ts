import * as api from '../api/factors'
import type {
  SchemaAuthenticatorSetUp,
  SchemaPasskeyAssertion,
  SchemaPasskeyCreation,
  SchemaPasskeyRequest,
  SchemaPasskeyRow,
  SchemaSecondFactors,
  SchemaSessionRow,
} from '../api/schema'
import { answered } from './customerImports'
import { asResult } from './members'
import { type SignInResult, signInWith } from './session/session'

/** Passkeys and second factors, read from the server: nothing of them is stored on this phone. */
export type SecondFactors = SchemaSecondFactors
export type PasskeyRow = SchemaPasskeyRow
export type AuthenticatorSetUp = SchemaAuthenticatorSetUp
/** What a browser needs to create a passkey or to sign with one, and what it answers. */
export type CreationOptions = SchemaPasskeyCreation
export type RequestOptions = SchemaPasskeyRequest
export type SignedChallenge = SchemaPasskeyAssertion
export type NewPasskey = Parameters<typeof api.addPasskey>[0]

export type SessionRow = SchemaSessionRow

/** The browsers on which the member is signed in. @throws NoSignal, Problem */
export const readSessions = async (): Promise<readonly SessionRow[]> => (await api.readSessions()).rows
export const endSession = (id: string) => asResult(api.endOneSession(id))
export const endOtherSessions = () => asResult(api.endOtherSessions())

/** @throws NoSignal, Problem */
export const readFactors = (): Promise<SecondFactors> => api.readFactors()

/** Adds the passkey that `create` makes. The value: recovery codes, if these are the first. */
export const addPasskey = (create: (options: CreationOptions) => Promise<NewPasskey>) =>
  answered(api.beginPasskey().then(create).then(api.addPasskey))
export const removePasskey = (id: string) => asResult(api.removePasskey(id))
export const beginAuthenticator = () => answered(api.beginAuthenticator())
export const confirmAuthenticator = (code: string) => answered(api.confirmAuthenticator(code))
export const removeAuthenticator = () => asResult(api.removeAuthenticator())
export const makeRecoveryCodes = () => answered(api.makeRecoveryCodes())

/** Signs in with a passkey alone. */
export const signInWithPasskey = (
  sign: (options: RequestOptions) => Promise<SignedChallenge>,
): Promise<SignInResult> => signInWith(api.beginPasskeySignIn().then(sign).then(api.openSessionWithPasskey))

/** Proves who is there, for a quarter of an hour. */
export const proveByPassword = (password: string) => asResult(api.prove({ password }))
export const proveByPasskey = (sign: (options: RequestOptions) => Promise<SignedChallenge>) =>
  asResult(
    api
      .beginProof()
      .then(sign)
      .then((passkey) => api.prove({ passkey })),
  )
