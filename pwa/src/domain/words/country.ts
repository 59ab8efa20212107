export const countryWords = {
  label: 'Country, two letters',
  bad: 'Enter the two letters of a country, such as US',
  hint: 'Such as CA. Blank: the shop’s country.',
}
