import { call } from './client'
import { post } from './post'
import type {
  SchemaDeviceRow,
  SchemaDeviceRowPage,
  SchemaInvitationAddress,
  SchemaInvitationRow,
  SchemaInvitationRowPage,
  SchemaMemberRow,
  SchemaMemberRowPage,
  SchemaNewInvitationRequest,
} from './schema'

const MEMBERS = '/api/v1/members'
const INVITATIONS = '/api/v1/invitations'
const DEVICES = '/api/v1/devices'
const MOST = '?limit=200'

/** All members of the shop, former ones too. @throws NoSignal, Problem */
export async function readMembers(): Promise<readonly SchemaMemberRow[]> {
  return (await call<SchemaMemberRowPage>('GET', MEMBERS + MOST))?.rows ?? []
}

/** Every device that was ever registered. For the owner alone. @throws NoSignal, Problem */
export async function readDevices(): Promise<readonly SchemaDeviceRow[]> {
  return (await call<SchemaDeviceRowPage>('GET', DEVICES + MOST))?.rows ?? []
}

/** Changes the member's own password. @throws NoSignal; Problem with its fields, or `too_many_tries` (429) */
export async function changePassword(old: string, fresh: string): Promise<void> {
  await call('POST', '/api/v1/session/password', { body: { old, new: fresh } })
}

/** All invitations. For the owner alone. @throws NoSignal, Problem */
export async function readInvitations(): Promise<readonly SchemaInvitationRow[]> {
  return (await call<SchemaInvitationRowPage>('GET', INVITATIONS + MOST))?.rows ?? []
}

/** The link by which an invited person sets their password. @throws NoSignal, Problem */
export async function readInvitationAddress(id: string): Promise<string> {
  return (await call<SchemaInvitationAddress>('GET', `${INVITATIONS}/${id}/address`))?.url ?? ''
}

/** @throws NoSignal; Problem with its fields, such as `already_here` */
export const inviteMember = (person: SchemaNewInvitationRequest) => post(INVITATIONS, person.id, person)

/** @throws NoSignal, Problem */
export const withdrawInvitation = (id: string, key: string) =>
  post(`${INVITATIONS}/${id}/withdraw`, key, { id })

/** @throws NoSignal; Problem `last_owner` (409) */
export const endMembership = (id: string, key: string) => post(`${MEMBERS}/${id}/end`, key, { id })

/** @throws NoSignal, Problem */
export const resumeMembership = (id: string, key: string) => post(`${MEMBERS}/${id}/resume`, key, { id })

/** @throws NoSignal, Problem */
export const revokeDevice = (id: string, key: string) => post(`${DEVICES}/${id}/revoke`, key, { id })
