import { en } from '../../../domain/words'
import { crew as its } from '../../../domain/words.crew'
import { type CrewMember, endMembership, type Phone, signOffPhone, takeBack } from '../../../store/crew'
import { permissions, session } from '../../../store/session'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { Unreached } from './Unreached'
import { tellAnswer, useCrew } from './useCrew'

/** One person of the shop: the role, the phones, and the end of the membership. */
export function Member({ id }: { id: string }) {
  const { members, failed, read } = useCrew()
  const member = members?.find((each) => each.id === id)
  const may = permissions.value.has('manage_members')
  if (!may || (members && !member)) return <Nowhere back={{ at: may ? 'members' : 'settings' }} />
  return (
    <Sheet over={its.title} title={member?.name ?? en.app.loading} back={{ at: 'members' }}>
      {failed && <Unreached onRetry={read} />}
      {member && (
        <>
          <Facts
            facts={[
              [en.settings.role, en.settings.roles[member.role]],
              [its.membership, member.active ? null : its.left],
            ]}
          />
          <Phones member={member} read={read} />
          <Membership member={member} read={read} />
        </>
      )}
    </Sheet>
  )
}

interface Props {
  member: CrewMember
  read: () => Promise<void>
}

function Phones({ member: { phones }, read }: Props) {
  async function signOff({ id, letter }: Phone) {
    tellAnswer(await signOffPhone(id), its.signedOffNow(letter))
    await read()
  }
  return (
    <Part title={its.phonesTitle}>
      {phones.length === 0 && <p class="lines">{its.noPhones}</p>}
      <Facts
        facts={phones.map(({ letter, label, revoked_at }) => [
          its.phone(letter),
          [label, revoked_at && its.signedOff].filter(Boolean).join(' · ') || its.signedIn,
        ])}
      />
      <Keys tall>
        {phones
          .filter(({ revoked_at }) => !revoked_at)
          .map((phone) => (
            <Key
              key={phone.id}
              wide
              words={its.signOff(phone.letter)}
              hint={its.signOffHint}
              onPress={() => void signOff(phone)}
            />
          ))}
      </Keys>
    </Part>
  )
}

function Membership({ member: { id, name, active }, read }: Props) {
  async function back() {
    tellAnswer(await takeBack(id), its.takenBack(name))
    await read()
  }
  async function end() {
    tellAnswer(await endMembership(id), its.ended(name), undo)
    await read()
  }
  async function undo() {
    const answer = await takeBack(id)
    await read()
    // What is thrown is told as not done.
    if (!answer.done) throw new Error(answer.words)
  }
  return (
    <Part title={its.membership}>
      {id === session.value.member?.id ? (
        <p class="lines">{its.you}</p>
      ) : (
        <Keys tall>
          {active ? (
            <Key wide words={its.end} hint={its.endHint} onPress={() => void end()} />
          ) : (
            <Key wide words={its.takeBack} hint={its.takeBackHint} onPress={() => void back()} />
          )}
        </Keys>
      )}
    </Part>
  )
}
