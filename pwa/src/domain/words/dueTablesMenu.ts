/** Words of two tables of the desk, in the menu. */
export const servicesDueMenu = { title: 'Services due', hint: 'By machine, the next one first' }
export const leadTimesMenu = { title: 'How long suppliers take', hint: 'From your own orders' }
