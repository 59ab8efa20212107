export { MessageSettings } from './MessageSettings'
export { WordingForm } from './WordingForm'
export { Wordings } from './Wordings'
