export { FirstShop } from './FirstShop'
