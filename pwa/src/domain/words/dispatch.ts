// Words of stops, runs and driving; those of rigs and the yard (`rig.ts`) and of a hand-over (`handover.ts`) come
// with their screens. It only re-exports them; texts in separate files are loaded with the screens that show them.

export { plan } from './plan'
export { stops } from './plural'
export { check, move, run } from './runScreen'
export * from './runSummaries'
export * from './stopLabels'
export { ask, place, size, stop } from './stopScreens'
