/** The entry of the orders under More. */
export const ordersMenu = {
  title: 'Parts orders',
  hint: 'What to order, what is to come, what goes back',
}
