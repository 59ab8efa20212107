import { later } from '../../later'

/** Screens of messages that are not needed to start the app: each comes when it is first shown. */
export const Wordings = later(() => import('./Wordings').then((module) => module.Wordings))
export const WordingForm = later(() => import('./WordingForm').then((module) => module.WordingForm))
