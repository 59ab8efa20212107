/** Words of a new password and a new address by a link in a mail; they come with their screens. */
export const forgotten = {
  title: 'Forgot your password?',
  lead: 'We mail a link to the address you sign in with. It works for one hour.',
  email: 'Email',
  missingEmail: 'Enter your email',
  send: 'Send the link',
  sent: 'If that address signs in here, a link is on its way. Look in your mail.',
  kept: 'Nothing on this phone is lost.',
}

export const freshPassword = {
  title: 'Set a new password',
  lead: 'It signs you out everywhere. Nothing on your phones is lost. They ask for it.',
  password: 'New password',
  hint: 'At least 12 characters',
  missing: 'Use at least 12 characters',
  save: 'Set the password',
  saved: 'Password set. Sign in with it.',
  noLink: 'This link is incomplete. Open it from the mail again.',
}

export const address = {
  title: 'Change email',
  hint: 'The one you sign in with',
  email: 'New email',
  password: 'Your password',
  missingEmail: 'Enter the new email',
  missingPassword: 'Enter your password',
  save: 'Send a link there',
  saved: 'Open the link in the mail we sent there. Until then the old email works.',
}

export const confirmation = {
  title: 'Confirm your email',
  lead: 'After this you sign in with the new email.',
  go: 'Confirm',
  done: 'Confirmed. From now on sign in with the new email.',
}

export const noSignal = 'No signal. Nothing was changed. Try again.'
