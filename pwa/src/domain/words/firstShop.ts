/** Words of opening the first shop of a server. */
export const firstShop = {
  title: 'New shop',
  lead: 'Only for a new server with no shop on it yet.',
  name: 'Shop name',
  zone: 'Time zone',
  currency: 'Currency',
  currencyHint: 'Three letters, such as USD or EUR',
  person: 'Your name',
  email: 'Your email',
  password: 'Password',
  passwordHint: 'At least 12 characters',
  go: 'Create shop',
  missing: (label: string) => `Fill in: ${label}`,
}
