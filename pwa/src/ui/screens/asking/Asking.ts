import { later } from '../../later'

/** The screens of asking an owner come when they are first wanted. */
export const AskMore = later<{ id: string }>(() => import('./AskMore').then((module) => module.AskMore))
export const SendRequest = later<{ id: string }>(() =>
  import('./SendRequest').then((module) => module.SendRequest),
)
export const RequestView = later<{ id: string }>(() =>
  import('./RequestView').then((module) => module.RequestView),
)
