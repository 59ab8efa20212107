/** The line of payments under More, apart from the words of their screens. */
export const paymentsMenu = { title: 'Payments', hint: 'What was taken and given back' }
