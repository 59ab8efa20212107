import type * as english from './en'

/**
 * Every word a person reads or hears from the app, in English. A namespace, not an object: a screen that is
 * loaded later brings its own words, and the app starts without them.
 *
 * Another language is an object of the type `Messages`; a key it lacks does not compile.
 */
export * as en from './en'

export type Messages = typeof english
