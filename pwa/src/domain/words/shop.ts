// Words of signing in and of a new version: what the app may have to say as it starts.

export const signIn = {
  title: 'Sign in',
  signedOff: 'Signed off by the owner of the shop.',
  lead: 'The work book of the shop, with or without a signal.',
  email: 'Email',
  password: 'Password',
  show: 'Show password',
  hide: 'Hide password',
  go: 'Sign in',
  busy: 'Signing in',
  missingEmail: 'Write your email',
  missingPassword: 'Write your password',
  wrong: 'This email and password do not belong together. Check both and try again.',
  tooMany: 'Too many tries. Wait some minutes, then try again.',
  noSignal: 'No signal. The first sign-in on this phone needs one; after that it works without.',
  refused: 'The server did not let you in. Try again, or ask the owner of the shop.',
  firstShop: 'Set up a new shop',
  again: 'Sign in again to send what is waiting',
  againHint: 'Nothing on this phone is lost. You can go on working.',
  loading: 'Fetching the shop’s books',
  loadingHint: 'Only this once. It goes on where it stopped when the signal drops.',
}

export const update = {
  tooOld: 'This version of the app is too old',
  fetching: 'Its new version is being fetched. What you wrote is kept on this phone.',
  ready: 'A new version is here',
  hint: 'It waits until you say so. Nothing you wrote is lost.',
  go: 'Use it now',
  waits: 'It can be used once everything is sent and no form is half-filled.',
}
