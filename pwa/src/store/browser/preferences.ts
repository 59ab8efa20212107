import { effect, signal } from '@preact/signals'
import { readStored, writeStored } from './safeStorage'

export type Scheme = 'auto' | 'light' | 'dark'
export type TextSize = 'usual' | 'large' | 'huge'

const SCHEMES: readonly Scheme[] = ['auto', 'light', 'dark']
const SIZES: readonly TextSize[] = ['usual', 'large', 'huge']

/** Display settings of this phone, never sent. */
export const scheme = preference('drawbar.scheme', SCHEMES, 'auto')
export const textSize = preference('drawbar.text', SIZES, 'usual')

/** Whether a letter by itself is a shortcut at the desk. */
export const singleKeys = preference('drawbar.keys', ['on', 'off'], 'on')

function preference<Value extends string>(key: string, allowed: readonly Value[], otherwise: Value) {
  const value = signal(allowed.find((one) => one === readStored(key)) ?? otherwise)
  effect(() => writeStored(key, value.value))
  return value
}

/** Begins the keys under which the saved views of the tables are kept, one for each member. */
export const SAVED_VIEWS = 'drawbar.views.'
