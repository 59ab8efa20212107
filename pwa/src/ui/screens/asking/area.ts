export { AskMore } from './AskMore'
export { RequestView } from './RequestView'
export { SendRequest } from './SendRequest'
