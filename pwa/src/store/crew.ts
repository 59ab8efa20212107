import * as api from '../api/members'
import { NoSignal, Problem } from '../api/problem'
import type { SchemaDeviceRow, SchemaMemberRow, SchemaNewMemberRequest } from '../api/schema'
import type { Role } from '../domain/rows'
import { newId } from './clock'
import type { FieldFault } from './entry'

export type NewMember = Required<Omit<SchemaNewMemberRequest, 'id'>>
export type Phone = Pick<SchemaDeviceRow, 'id' | 'letter' | 'label' | 'revoked_at'>
export type CrewMember = Pick<SchemaMemberRow, 'id' | 'name' | 'active'> & { role: Role; phones: Phone[] }

/** Whether something was done; else why not: without words, nothing answered. */
export type Answered = { done: true } | { done: false; words: string; fields: readonly FieldFault[] }

/**
 * Who works in the shop and on which phones, as the server has it now: who may sign in is decided there alone.
 *
 * @throws NoSignal when the server did not answer; Problem when it refused
 */
export async function readCrew(): Promise<CrewMember[]> {
  const [members, devices] = await Promise.all([api.readMembers(), api.readDevices()])
  return members.map(({ id, name, role, active }) => ({
    id,
    name,
    role: role as Role,
    active,
    phones: devices.filter(({ member_id }) => member_id === id),
  }))
}

export const letJoin = (member: NewMember) => answered(api.addMember({ id: newId(), ...member }))
export const endMembership = (id: string) => answered(api.endMembership(id, newId()))
export const takeBack = (id: string) => answered(api.resumeMembership(id, newId()))
export const signOffPhone = (id: string) => answered(api.revokeDevice(id, newId()))
export const changePassword = (old: string, fresh: string) => answered(api.changePassword(old, fresh))

async function answered(asked: Promise<void>): Promise<Answered> {
  try {
    await asked
    return { done: true }
  } catch (error) {
    if (error instanceof NoSignal) return { done: false, words: '', fields: [] }
    if (!(error instanceof Problem)) throw error
    return { done: false, words: error.message, fields: error.fields }
  }
}
