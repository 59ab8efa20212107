/** Words of the books in the menu. */
export const booksMenu = { title: 'Books', hint: 'Lists for the bookkeeper, closed days, accounts' }
