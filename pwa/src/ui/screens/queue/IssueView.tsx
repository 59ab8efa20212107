import { en } from '../../../domain/words'
import { issue, settleIssue } from '../../../store/issues'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { SettleTime } from '../clock/SettleTime'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { answers, issueTitle, written } from './issueWords'

const its = en.issue
const SHOWN = { customer: 'customer', machine: 'machine', job: 'job', quote: 'quote' } as const

/** Both answers laid side by side, for a person to pick. */
export function IssueView({ id }: { id: string }) {
  const row = issue(id)
  const { send } = useSend()
  if (!row) return <Nowhere back={{ at: 'queue' }} />
  // Clocks are settled where both are shown.
  if (row.entity_kind === 'time_entry' && row.entity_id) return <SettleTime id={row.entity_id} />
  const conflict = row.kind === 'conflict'
  // Evidence of a decision stands by itself; only a command that was held can still be carried out.
  const waits = !conflict && row.entity_kind === 'command'
  const both = answers(row)
  const settle = (choice: 'theirs' | 'ours') =>
    void send(
      () => settleIssue(id, choice),
      () => goTo({ at: 'queue' }, { instead: true }),
      its.settled,
    )
  const at = row.entity_kind && SHOWN[row.entity_kind as keyof typeof SHOWN]
  const about: Place | null = at && row.entity_id ? { at, id: row.entity_id } : null
  return (
    <Sheet
      over={issueTitle(row)}
      title={row.state === 'resolved' ? its.gone : conflict ? its.title : its.titleHeld}
      back={{ at: 'queue' }}
      dock={
        row.state === 'open' && (
          <Keys tall>
            <Key
              wide
              words={conflict ? its.keepTheirs : waits ? its.leaveOut : its.seen}
              hint={conflict ? en.app.listed(both.map(({ theirs }) => theirs)) : undefined}
              onPress={() => settle('theirs')}
            />
            {conflict && (
              <Key
                wide
                words={its.keepOurs}
                hint={en.app.listed(both.map(({ ours }) => ours))}
                onPress={() => settle('ours')}
              />
            )}
            {waits && <Key wide words={its.carryOut} onPress={() => settle('ours')} />}
          </Keys>
        )
      }
    >
      <p class="lines">{conflict ? its.explain : row.words || its.explainHeld}</p>
      {conflict &&
        both.map(({ field, name, theirs, ours }) => (
          <Part key={field} title={name}>
            <div class="versus">
              <div class="ticket">
                <h3>{its.theirs}</h3>
                <p>{theirs}</p>
              </div>
              <div class="ticket">
                <h3>{its.ours}</h3>
                <p>{ours}</p>
              </div>
            </div>
          </Part>
        ))}
      {waits && (
        <Part title={its.written}>
          <Facts facts={written(row)} />
        </Part>
      )}
      {about && (
        <Keys tall>
          <Key wide words={its.lookAt} to={about} />
        </Keys>
      )}
    </Sheet>
  )
}
