export { IssueView } from './IssueView'
export { Queue } from './Queue'
