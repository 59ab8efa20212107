/** Words of what customers owe, in the menu. */
export const owedMenu = { title: 'Owed by customers', hint: 'By how late it is' }
