import { en } from '../../../domain/words'
import { crew as t } from '../../../domain/words/members'
import type { ShopMemberRow } from '../../../store/members'
import { PrimaryButton } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { NoConnection } from './NoConnection'
import { useMembers } from './useMembers'

/** All members, also former ones. */
export function Members() {
  const { members, invited, failed, read } = useMembers()
  return (
    <ShopPage title={t.title} dock={<PrimaryButton label={t.add} to={{ at: 'new-member' }} />}>
      {failed ? (
        <NoConnection onRetry={read} />
      ) : (
        <>
          <List items={members} empty={t.nobody} keyOf={({ id }) => id}>
            {(member) => (
              <ListItem title={member.name} details={shortly(member)} to={{ at: 'member', id: member.id }} />
            )}
          </List>
          {invited.map(({ id, name, role }) => (
            <ListItem
              key={id}
              title={name}
              details={`${en.settings.roles[role]} · ${t.invited}`}
              to={{ at: 'member', id }}
            />
          ))}
        </>
      )}
    </ShopPage>
  )
}

function shortly({ role, active, phones }: ShopMemberRow): string {
  if (!active) return t.left
  return `${en.settings.roles[role]} · ${t.phones(phones.filter(({ revoked_at }) => !revoked_at).length)}`
}
