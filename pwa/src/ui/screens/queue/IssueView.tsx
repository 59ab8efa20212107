import type { Issue } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { issue, settleIssue } from '../../../store/issues'
import { payment } from '../../../store/payments'
import { permissions } from '../../../store/session/session'
import { members } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { DescriptionList, Section } from '../../components/Section'
import { moneyRoute } from '../../features/payments/moneyFigures'
import { NotFound } from '../../NotFound'
import { renderRoute } from '../../renderRoute'
import { navigate, type Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { useSaveOnce } from '../../useSaveOnce'
import { answers, heldTime, issueTitle, written } from './issueText'

const t = en.issue
/** What a phone handed in after it was signed off, or its member had left. Twin: `sync.services.issues`. */
const OWNER_SETTLES = /^(device_retired|membership_over)$/
const SHOWN = {
  customer: 'customer',
  machine: 'machine',
  job: 'job',
  quote: 'quote',
  catalog_part: 'catalog-part',
} as const

/** A conflict with both values side by side, for a person to choose. */
export function IssueView({ id }: { id: string }) {
  const row = issue(id)
  const { save: send } = useSaveOnce()
  if (!row) return <NotFound />
  // Overlapping clocks are settled on the screen that shows both.
  if (row.entity_kind === 'time_entry' && row.entity_id)
    return renderRoute({ at: 'time-settle', id: row.entity_id })
  const conflict = row.kind === 'conflict'
  // The other conflicts are numbers that were assigned twice around a restore.
  const isEdit = conflict && row.name.startsWith('edit_')
  // Evidence of a decision stays as it is; only a held command can still be executed.
  const waits = !conflict && row.entity_kind === 'command'
  const both = answers(row)
  const time = waits ? heldTime(row) : []
  const writer = members.value.find(({ id: member }) => member === row.member_id)?.name
  const settle = (choice: 'theirs' | 'ours') =>
    void send(
      () => settleIssue(id, choice),
      () => navigate({ at: 'queue' }, { replace: true }),
      t.settled,
    )
  const at = row.entity_kind && SHOWN[row.entity_kind as keyof typeof SHOWN]
  const about: Route | null = at && row.entity_id ? { at, id: row.entity_id } : moneyOfIssue(row)
  return (
    <ShopPage
      overline={issueTitle(row)}
      title={row.state === 'resolved' ? t.gone : conflict ? t.title : t.titleHeld}
      dock={
        row.state === 'open' &&
        (!OWNER_SETTLES.test(row.message) || permissions.value.has('manage_members')) && (
          <SettleButtons both={conflict ? both : null} waits={waits} onSettle={settle} />
        )
      }
    >
      {row.state === 'resolved' && row.choice ? (
        <p class="multiline">{t.settledAs[row.kind]?.[row.choice]}</p>
      ) : (
        <p class="multiline">{isEdit ? t.explain : row.words || t.explainHeld}</p>
      )}
      {conflict && <Comparison both={both} />}
      {waits && (
        <Section title={t.written}>
          <DescriptionList items={time.length ? time : [[t.writtenBy, writer], ...written(row)]} />
        </Section>
      )}
      {about && (
        <ButtonRow stacked>
          <Button wide label={t.lookAt} to={about} />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

/** The money of the job whose payment an issue is about: there it is given back, or kept as credit. */
function moneyOfIssue({ entity_kind, entity_id }: Issue): Route | null {
  const row = entity_kind === 'payment' && entity_id ? payment(entity_id) : undefined
  return row ? moneyRoute(row) : null
}

/** Both values of each field, side by side. */
function Comparison({ both }: { both: ReturnType<typeof answers> }) {
  return (
    <>
      {both.map(({ field, name, theirs, ours }) => (
        <Section key={field} title={name}>
          <div class="comparison">
            <div class="card">
              <h3>{t.theirs}</h3>
              <p>{theirs}</p>
            </div>
            <div class="card">
              <h3>{t.ours}</h3>
              <p>{ours}</p>
            </div>
          </div>
        </Section>
      ))}
    </>
  )
}

interface ChoicesProps {
  /** The fields in which two edits conflict. */
  both: ReturnType<typeof answers> | null
  /** Whether a held command waits to be executed. */
  waits: boolean
  onSettle: (choice: 'theirs' | 'ours') => void
}

function SettleButtons({ both, waits, onSettle }: ChoicesProps) {
  return (
    <ButtonRow stacked>
      <Button
        wide
        label={both ? t.keepTheirs : waits ? t.leaveOut : t.seen}
        hint={both ? en.app.listed(both.map(({ theirs }) => theirs)) : undefined}
        onPress={() => onSettle('theirs')}
      />
      {both && (
        <Button
          wide
          label={t.keepOurs}
          hint={en.app.listed(both.map(({ ours }) => ours))}
          onPress={() => onSettle('ours')}
        />
      )}
      {waits && <Button wide label={t.carryOut} onPress={() => onSettle('ours')} />}
    </ButtonRow>
  )
}
