import { call } from './client'
import type {
  SchemaAuthenticatorSetUp,
  SchemaNewPasskeyRequest,
  SchemaPasskeyAssertion,
  SchemaPasskeyCreation,
  SchemaPasskeyRequest,
  SchemaRecoveryCodes,
  SchemaSecondFactors,
  SchemaSessionRows,
} from './schema'
import { kept, readSession, type SessionAnswer } from './session'

const SESSION = '/api/v1/session'

/** All of these throw NoSignal or a Problem; most need a proof of who is there, which the client asks for. */
export const readFactors = () => asked<SchemaSecondFactors>(call('GET', `${SESSION}/factors`))
export const beginPasskey = () => asked<SchemaPasskeyCreation>(post('passkeys/options'))
export const addPasskey = (passkey: SchemaNewPasskeyRequest) => codesOf(post('passkeys', passkey))
export const removePasskey = (id: string) => done(post(`passkeys/${id}/remove`))
export const beginAuthenticator = () => asked<SchemaAuthenticatorSetUp>(post('authenticator'))
export const confirmAuthenticator = (code: string) => codesOf(post('authenticator/confirm', { code }))
export const removeAuthenticator = () => done(post('authenticator/remove'))
export const makeRecoveryCodes = () => codesOf(post('recovery-codes'))

export async function beginPasskeySignIn(): Promise<SchemaPasskeyRequest> {
  await readSession()
  return asked<SchemaPasskeyRequest>(post('passkey/options'))
}
export const openSessionWithPasskey = async (signed: SchemaPasskeyAssertion) =>
  kept(await post<SessionAnswer>('passkey', signed))

export const beginProof = () => asked<SchemaPasskeyRequest>(post('proof/options'))
export const prove = (given: { password: string } | { passkey: SchemaPasskeyAssertion }) =>
  done(post('proof', given))

export const readSessions = () => asked<SchemaSessionRows>(call('GET', `${SESSION}/sessions`))
export const endOneSession = (id: string) => done(post(`sessions/${id}/end`))
export const endOtherSessions = () => done(post('sessions/end-others'))

const post = <Answer>(path: string, body: object = {}) => call<Answer>('POST', `${SESSION}/${path}`, { body })

async function asked<Answer>(answer: Promise<unknown>): Promise<Answer> {
  return (await answer) as Answer
}

async function done(answer: Promise<unknown>): Promise<void> {
  await answer
}

async function codesOf(answer: Promise<SchemaRecoveryCodes | null>): Promise<readonly string[]> {
  return (await answer)?.codes ?? []
}
