import { en } from '../../../domain/words'
import { crew as its } from '../../../domain/words.crew'
import type { CrewMember } from '../../../store/crew'
import { permissions } from '../../../store/session'
import { Slab } from '../../components/Press'
import { Row, Rows } from '../../components/Rows'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { Unreached } from './Unreached'
import { useCrew } from './useCrew'

/** Everybody of the shop, also who has left. */
export function Members() {
  const { members, failed, read } = useCrew()
  if (!permissions.value.has('manage_members')) return <Nowhere back={{ at: 'settings' }} />
  return (
    <Sheet
      title={its.title}
      back={{ at: 'settings' }}
      dock={<Slab words={its.add} to={{ at: 'new-member' }} />}
    >
      {failed ? (
        <Unreached onRetry={read} />
      ) : (
        <Rows items={members} empty={its.nobody} keyOf={({ id }) => id}>
          {(member) => <Row lead={member.name} also={shortly(member)} to={{ at: 'member', id: member.id }} />}
        </Rows>
      )}
    </Sheet>
  )
}

function shortly({ role, active, phones }: CrewMember): string {
  if (!active) return its.left
  return `${en.settings.roles[role]} · ${its.phones(phones.filter(({ revoked_at }) => !revoked_at).length)}`
}
