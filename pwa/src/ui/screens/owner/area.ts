export { OwnerView } from './OwnerView'
