import * as api from '../api/members'
import { NoSignal, Problem } from '../api/problem'
import type {
  SchemaDeviceRow,
  SchemaInvitationRow,
  SchemaMemberRow,
  SchemaNewInvitationRequest,
} from '../api/schema'
import type { Role } from '../domain/contract'
import { newId } from './browser/clock'
import type { FieldFault } from './queue/entry'

export type NewMember = Required<Omit<SchemaNewInvitationRequest, 'id'>>
/** An open invitation. */
export type InvitedMember = Pick<
  SchemaInvitationRow,
  'id' | 'name' | 'email' | 'may_see_cost' | 'expires_at'
> & {
  role: Role
}
export type MemberPhone = Pick<SchemaDeviceRow, 'id' | 'letter' | 'label' | 'revoked_at'>
export type ShopMemberRow = Pick<SchemaMemberRow, 'id' | 'name' | 'active'> & {
  role: Role
  phones: MemberPhone[]
}

/** Success, or why not; an empty message means that the server did not answer. */
export type ActionResult = { done: true } | { done: false; words: string; fields: readonly FieldFault[] }

/**
 * Members and devices, read from the server: they are managed online only.
 *
 * @throws NoSignal when the server did not answer; Problem when it refused
 */
export async function readMembers(): Promise<ShopMemberRow[]> {
  const [members, devices] = await Promise.all([api.readMembers(), api.readDevices()])
  return members.map(({ id, name, role, active }) => ({
    id,
    name,
    role: role as Role,
    active,
    phones: devices.filter(({ member_id }) => member_id === id),
  }))
}

/** Invitations not accepted yet, expired ones included. @throws NoSignal, Problem */
export async function readInvited(): Promise<InvitedMember[]> {
  const invitations = await api.readInvitations()
  return invitations
    .filter(({ accepted_at, withdrawn_at }) => accepted_at === null && withdrawn_at === null)
    .map((one) => ({ ...one, role: one.role as Role }))
}

/** Invites a person under an id that will be the member's. */
export const invite = (id: string, person: NewMember) => asResult(api.inviteMember({ id, ...person }))
export const withdraw = (id: string) => asResult(api.withdrawInvitation(id, newId()))
/** Anyone with this address can join, so it is fetched when it is shown and never stored. */
export const invitationAddress = (id: string): Promise<string> => api.readInvitationAddress(id)
export const endMembership = (id: string) => asResult(api.endMembership(id, newId()))
export const resumeMembership = (id: string) => asResult(api.resumeMembership(id, newId()))
export const signOffPhone = (id: string) => asResult(api.revokeDevice(id, newId()))
export const changePassword = (old: string, fresh: string) => asResult(api.changePassword(old, fresh))

/** What a change on the server came to. */
export async function asResult(asked: Promise<void>): Promise<ActionResult> {
  try {
    await asked
    return { done: true }
  } catch (error) {
    if (error instanceof NoSignal) return { done: false, words: '', fields: [] }
    if (!(error instanceof Problem)) throw error
    return { done: false, words: error.message, fields: error.fields }
  }
}
