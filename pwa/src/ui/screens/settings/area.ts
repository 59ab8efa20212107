export { Prices } from './Prices'
export { Settings } from './Settings'
export { ShopForm } from './ShopForm'
