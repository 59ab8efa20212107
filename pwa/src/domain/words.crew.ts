import { counted } from './words.plural'

/** Words of who works in the shop and on which phones; they come with their screens. */
export const crew = {
  title: 'People and phones',
  hint: 'Who may sign in, and what to do when a phone is lost',
  add: 'Add a person',
  left: 'Left',
  phones: (count: number) => (count ? counted(count, 'phone', 'phones') : 'no phone'),
  nobody: 'Nobody yet',
  unreached: 'Who may sign in is asked of the server, and there is no signal',
  noSignal: 'This needs a signal. Nothing was changed; try again.',
  you: 'This is you.',
  membership: 'Membership',
  end: 'End the membership',
  endHint:
    'From now on no sign-in and no phone. What they wrote stays; what their phones still hold comes in',
  ended: (name: string) => `${name} is no longer signed in anywhere`,
  takeBack: 'Take back',
  takeBackHint: 'They sign in as before',
  takenBack: (name: string) => `${name} may sign in again`,
  phonesTitle: 'Phones',
  noPhones: 'Not signed in on any phone yet',
  signedIn: 'signed in',
  signedOff: 'signed off',
  phone: (letter: string) => `Phone ${letter}`,
  signOff: (letter: string) => `Sign off phone ${letter}`,
  signOffHint: 'Lost or sold: it forgets the shop. What it had not sent comes to you',
  signedOffNow: (letter: string) => `Phone ${letter} is signed off`,
}

export const newPassword = {
  title: 'Change password',
  hint: 'Signs you out everywhere else',
  save: 'Change it',
  old: 'Password until now',
  fresh: 'New password',
  freshHint: 'At least 12 characters',
  missingOld: 'Write the password that you sign in with now',
  saved: 'Password changed. Your other phones ask for it',
}

export const newMember = {
  title: 'Add a person',
  save: 'Add',
  name: 'Name',
  email: 'Email, to sign in with',
  password: 'First password',
  passwordHint: 'At least 12 characters. Tell it to them yourself',
  role: 'Role',
  roleHints: {
    owner: 'Everything, prices and people too',
    office: 'Customers, quotes, dispatch, everybody’s time',
    mechanic: 'Jobs, quotes, own time, own runs',
  },
  cost: 'Sees what parts cost the shop',
  yes: 'Yes',
  no: 'No',
  missingName: 'Write the person’s name',
  missingEmail: 'Write an email address, such as name@place.example',
  missingPassword: 'Take at least 12 characters',
  added: (name: string) => `${name} can sign in now`,
}
