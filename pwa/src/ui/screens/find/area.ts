export { Find } from './Find'
