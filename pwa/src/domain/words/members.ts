import { counted } from './plural'

/** Words of who works in the shop and on which phones; they come with their screens. */
export const crew = {
  title: 'People and phones',
  hint: 'Who may sign in, and what to do when a phone is lost',
  add: 'Add a person',
  left: 'Left',
  invited: 'Invited',
  phones: (count: number) => (count ? counted(count, 'phone', 'phones') : 'no phone'),
  nobody: 'Nobody yet',
  unreached: 'Who may sign in is asked of the server, and there is no signal',
  noSignal: 'This needs a signal. Nothing was changed; try again.',
  you: 'This is you.',
  membership: 'Membership',
  end: 'End the membership',
  endHint:
    'From now on no sign-in and no phone. What they wrote stays; what their phones still hold comes to you',
  ended: (name: string) => `${name} is no longer signed in anywhere`,
  stillRuns: 'Their clock still runs',
  stillRunsHint: (since: string) => `Since ${since}. Say when the work stopped`,
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
  missingNew: 'Take at least 12 characters',
  saved: 'Password changed. Your other phones ask for it',
}

export const newMember = {
  title: 'Add a person',
  save: 'Invite',
  name: 'Name',
  email: 'Email, to sign in with',
  role: 'Role',
  roleHints: {
    owner: 'Everything, prices and people too',
    office: 'Customers, quotes, dispatch, everybody’s time',
    mechanic: 'Jobs, quotes, own time, own runs',
  },
  cost: 'Sees what parts cost the shop',
  yes: 'Yes',
  no: 'No',
  missingName: 'Enter the person’s name',
  missingEmail: 'Enter an email address, such as name@place.example',
  added: (name: string) => `${name} is invited. Pass the link on`,
}

export const invitation = {
  scan: 'Let them scan this, or send them the link',
  share: 'It is only for them. There they set their own password and are signed in.',
  code: 'Code of the invitation',
  text: 'Text message',
  letter: 'E-mail',
  copy: 'Copy the link',
  copied: 'Copied',
  subject: (shop: string) => `Join ${shop}`,
  body: (name: string, shop: string, url: string) =>
    `${name}, use this link to join ${shop} and set your password. It is only for you: ${url}`,
  signsIn: 'Signs in with',
  until: 'Link good until',
  tooOld: 'The link is too old. Make a new one.',
  again: 'Make a new link',
  againHint: 'The old one stops working',
  madeAgain: 'Here is a new link. The old one no longer works',
  back: 'Withdraw the invitation',
  tookBack: (name: string) => `The invitation for ${name} is withdrawn`,
}
