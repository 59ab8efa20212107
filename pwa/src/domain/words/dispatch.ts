// Words of stops, runs and driving; those of rigs and the yard (`rig.ts`) and of a hand-over (`handover.ts`) come
// with their screens. It only names them: what stands in files of their own is loaded with whoever says it.

export { plan } from './plan'
export { stops } from './plural'
export { check, move, run } from './runScreen'
export * from './runSummaries'
export * from './stopLabels'
export { ask, place, size, stop } from './stopScreens'
