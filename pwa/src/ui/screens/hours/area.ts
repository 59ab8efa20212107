export { Reports } from './Reports'
