/** Words of opening the first shop of a server. */
export const firstShop = {
  title: 'New shop',
  lead: 'Works once, on a server that holds no shop yet.',
  name: 'Name of the shop',
  zone: 'Time zone',
  currency: 'Currency',
  currencyHint: 'Three letters, such as USD or EUR',
  person: 'Your name',
  email: 'Your email',
  password: 'Password',
  passwordHint: 'At least 12 letters, digits or signs',
  go: 'Open the shop',
  missing: (label: string) => `Fill in: ${label}`,
}
