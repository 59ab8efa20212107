import { later } from '../../later'

/** Screens of the road that are not needed to start the app: each comes when it is first shown. */
export const AskStop = later(() => import('./AskStop').then((module) => module.AskStop))
export const ChangeStop = later(() => import('./AskStop').then((module) => module.ChangeStop))
export const FailStop = later(() => import('./FailStop').then((module) => module.FailStop))
export const HandOver = later(() => import('./HandOver').then((module) => module.HandOver))
export const HandedOver = later(() => import('./HandedOver').then((module) => module.HandedOver))
export const MoveStop = later(() => import('./MoveStop').then((module) => module.MoveStop))
export const OnMyWay = later(() => import('./OnMyWay').then((module) => module.OnMyWay))
export const Plan = later(() => import('./Plan').then((module) => module.Plan))
export const NewRig = later(() => import('./RigForm').then((module) => module.NewRig))
export const ChangeRig = later(() => import('./RigForm').then((module) => module.ChangeRig))
export const Run = later(() => import('./Run').then((module) => module.Run))
export const StopView = later(() => import('./StopView').then((module) => module.StopView))
export const Tag = later(() => import('./Tag').then((module) => module.Tag))
export const Trouble = later(() => import('./Trouble').then((module) => module.Trouble))
export const YardForm = later(() => import('./YardForm').then((module) => module.YardForm))
