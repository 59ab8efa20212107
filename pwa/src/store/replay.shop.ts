import { isKind } from '../domain/rows'
import { edit, type Replays } from './made'

export const shopReplays: Replays<'edit_shop' | 'settle_issue'> = {
  edit_shop: (world, args, made) => edit(world, 'shop', args.id, args.set, made),
  settle_issue: (world, args, made) => {
    const issue = world.get('issue', args.id)
    if (!issue) return
    if (args.choice === 'ours' && issue.kind === 'conflict' && isKind(issue.entity_kind) && issue.entity_id)
      edit(world, issue.entity_kind, issue.entity_id, issue.ours, made)
    edit(world, 'issue', args.id, { state: 'resolved', choice: args.choice }, made)
  },
}
