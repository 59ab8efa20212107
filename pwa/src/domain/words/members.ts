import { counted } from './plural'

/** Words of who works in the shop and on which phones; they come with their screens. */
export const crew = {
  title: 'People and phones',
  hint: 'Who may sign in, and what to do when a phone is lost',
  add: 'Add a person',
  left: 'No longer here',
  invited: 'Invited',
  phones: (count: number) => (count ? counted(count, 'phone', 'phones') : 'no phone'),
  nobody: 'Nobody yet',
  unreached: 'Needs signal to load people',
  noSignal: 'No signal. Nothing was changed. Try again.',
  you: 'This is you.',
  membership: 'Access',
  end: 'End access',
  endHint:
    'They can’t sign in anymore. What they entered stays, and anything unsent on their phones comes to you',
  ended: (name: string) => `${name} is no longer signed in anywhere`,
  stillRuns: 'Their clock is still running',
  stillRunsHint: (since: string) => `Since ${since}. Set when the work stopped`,
  takeBack: 'Restore access',
  takeBackHint: 'They can sign in again',
  takenBack: (name: string) => `${name} can sign in again`,
  phonesTitle: 'Phones',
  noPhones: 'Not signed in on any phone yet',
  signedIn: 'signed in',
  signedOff: 'removed',
  phone: (letter: string) => `Phone ${letter}`,
  signOff: (letter: string) => `Remove phone ${letter}`,
  signOffHint: 'Lost or sold: it’s wiped of shop data. Anything unsent comes to you',
  signedOffNow: (letter: string) => `Phone ${letter} removed`,
}

export const newPassword = {
  title: 'Change password',
  hint: 'Signs you out everywhere else',
  save: 'Change password',
  old: 'Current password',
  fresh: 'New password',
  freshHint: 'At least 12 characters',
  missingOld: 'Enter your current password',
  missingNew: 'Use at least 12 characters',
  saved: 'Password changed. Your other phones will ask for it',
}

export const newMember = {
  title: 'Add a person',
  save: 'Invite',
  name: 'Name',
  email: 'Email, to sign in with',
  role: 'Role',
  roleHints: {
    owner: 'Everything, prices and people too',
    office: 'Customers, quotes, dispatch, everyone’s time',
    mechanic: 'Jobs, quotes, own time, own runs',
  },
  cost: 'Can see part costs',
  yes: 'Yes',
  no: 'No',
  missingName: 'Enter the person’s name',
  missingEmail: 'Enter an email address, such as name@place.example',
  added: (name: string) => `${name} is invited. Pass the link on`,
}

export const invitation = {
  scan: 'Let them scan this, or send them the link',
  share: 'It is only for them. There they set their own password and are signed in.',
  code: 'Invitation code',
  text: 'Text message',
  letter: 'Email',
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
