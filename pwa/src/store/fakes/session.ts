import { signal } from '@preact/signals'
import type { Permission } from '../../domain/contract'

/**
 * Who is signed in, for tests of screens, in place of `store/session/session`:
 *
 *     vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))
 */
export const permissions = signal<ReadonlySet<Permission>>(new Set())
export const session = signal<{ tiles: null; member: null }>({ tiles: null, member: null })

export function mayDo(...allowed: Permission[]): void {
  permissions.value = new Set(allowed)
}
