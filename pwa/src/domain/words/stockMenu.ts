/** Words of the menu for the stock, which are there from the start. */
export const stockMenu = {
  title: 'Stock',
  hint: 'What is on the shelves and in each truck',
}
export const catalogMenu = {
  title: 'Catalog',
  hint: 'Parts that the shop knows, their prices and bins',
}
export const priceListsMenu = {
  title: 'Price lists',
  hint: 'What suppliers list, and new lists to import',
}
