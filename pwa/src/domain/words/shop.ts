// Words of signing in and of a new version: what the app may have to say as it starts.

export const signIn = {
  title: 'Sign in',
  signedOff: 'The shop owner removed this phone.',
  lead: 'Your shop’s work book, with or without signal.',
  email: 'Email',
  password: 'Password',
  show: 'Show password',
  hide: 'Hide password',
  forgotten: 'Forgot your password?',
  passkey: 'Use a passkey',
  go: 'Sign in',
  busy: 'Signing in',
  missingEmail: 'Enter your email',
  missingPassword: 'Enter your password',
  wrong: 'Wrong email or password. Try again.',
  tooMany: 'Too many tries. Wait a few minutes.',
  noSignal: 'No signal. The first sign-in on this phone needs it; after that it works without.',
  refused: 'Couldn’t sign in. Try again, or ask the shop owner.',
  firstShop: 'Set up a new shop',
  again: 'Sign in again to send what is waiting',
  againHint: 'Nothing on this phone is lost. You can keep working.',
  loading: 'Loading shop data',
  loadingHint: 'Only the first time. If signal drops, it picks up where it left off.',
}

/** While a new phone has open work, and the rest of the shop's records is still being fetched. */
export const coming = {
  title: 'Older records are still coming',
  soFar: (fetched: string, total: string | null) =>
    total === null ? `${fetched} so far.` : `${fetched} of about ${total} so far.`,
  hint: 'Open jobs and today are here. Until all is here, search and history may miss something.',
  whole: 'This page needs all records, so it opens when they are here. You can go on with open jobs.',
  notYet: (asked: string) => `“${asked}” is not among them yet`,
}

export const update = {
  tooOld: 'This app version is too old',
  fetching: 'Getting the update. What you entered is kept on this phone.',
  ready: 'Update available',
  hint: 'It won’t install until you say so. Nothing you entered is lost.',
  go: 'Update now',
  waits: 'Available once everything is sent and no form is open.',
}
