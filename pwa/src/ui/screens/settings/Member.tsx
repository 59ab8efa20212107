import { isRunning } from '../../../domain/labor/clock'
import { en } from '../../../domain/words'
import { crew as t } from '../../../domain/words/members'
import {
  endMembership,
  type MemberPhone,
  resumeMembership,
  type ShopMemberRow,
  signOffPhone,
} from '../../../store/members'
import { session } from '../../../store/session/session'
import { entriesOf } from '../../../store/timeEntries'
import { Button, ButtonRow } from '../../components/Button'
import { ListItem } from '../../components/List'
import { DescriptionList, Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { InvitationView } from './InvitationView'
import { NoConnection } from './NoConnection'
import { showAnswer, useMembers } from './useMembers'

/** One member: role, devices, and the end of the membership. */
export function Member({ id }: { id: string }) {
  const { members, invited, failed, read } = useMembers()
  const member = members?.find((each) => each.id === id)
  const asked = invited.find((each) => each.id === id)
  if (asked) return <InvitationView row={asked} />
  if (members && !member) return <NotFound />
  return (
    <ShopPage overline={t.title} title={member?.name ?? en.app.loading}>
      {failed && <NoConnection onRetry={read} />}
      {member && (
        <>
          <DescriptionList
            items={[
              [en.settings.role, en.settings.roles[member.role]],
              [t.membership, member.active ? null : t.left],
            ]}
          />
          {!member.active && <StillRunning id={member.id} />}
          <Phones member={member} read={read} />
          <Membership member={member} read={read} />
        </>
      )}
    </ShopPage>
  )
}

/** A clock still running at the end of a membership; somebody has to enter when it stopped. */
function StillRunning({ id }: { id: string }) {
  const clocks = entriesOf(id).filter(isRunning)
  return clocks.map((clock) => (
    <ListItem
      key={clock.id}
      title={t.stillRuns}
      details={t.stillRunsHint(format.value.time(clock.started_at))}
      to={{ at: 'time-fix', id: clock.id }}
    />
  ))
}

interface Props {
  member: ShopMemberRow
  read: () => Promise<void>
}

function Phones({ member: { phones }, read }: Props) {
  async function signOff({ id, letter }: MemberPhone) {
    showAnswer(await signOffPhone(id), t.signedOffNow(letter))
    await read()
  }
  return (
    <Section title={t.phonesTitle}>
      {phones.length === 0 && <p class="multiline">{t.noPhones}</p>}
      <DescriptionList
        items={phones.map(({ letter, label, revoked_at }) => [
          t.phone(letter),
          [label, revoked_at && t.signedOff].filter(Boolean).join(' · ') || t.signedIn,
        ])}
      />
      <ButtonRow stacked>
        {phones
          .filter(({ revoked_at }) => !revoked_at)
          .map((phone) => (
            <Button
              key={phone.id}
              wide
              label={t.signOff(phone.letter)}
              hint={t.signOffHint}
              onPress={() => void signOff(phone)}
            />
          ))}
      </ButtonRow>
    </Section>
  )
}

function Membership({ member: { id, name, active }, read }: Props) {
  async function back() {
    showAnswer(await resumeMembership(id), t.takenBack(name))
    await read()
  }
  async function end() {
    showAnswer(await endMembership(id), t.ended(name), undo)
    await read()
  }
  async function undo() {
    const answer = await resumeMembership(id)
    await read()
    // An exception counts as not done.
    if (!answer.done) throw new Error(answer.words)
  }
  return (
    <Section title={t.membership}>
      {id === session.value.member?.id ? (
        <p class="multiline">{t.you}</p>
      ) : (
        <ButtonRow stacked>
          {active ? (
            <Button wide label={t.end} hint={t.endHint} onPress={() => void end()} />
          ) : (
            <Button wide label={t.takeBack} hint={t.takeBackHint} onPress={() => void back()} />
          )}
        </ButtonRow>
      )}
    </Section>
  )
}
