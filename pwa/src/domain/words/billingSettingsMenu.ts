/** In the list of screens, which starts the app: the form has its own words. */
export const billingSettingsMenu = {
  title: 'Invoices and payments',
  hint: 'Name, numbers, days to pay, account',
}
