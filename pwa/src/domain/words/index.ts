import type * as english from './en'

/**
 * The app's words in English. A namespace, not an object: the build leaves the words of a screen that is loaded later
 * to that screen. Files that `en` does not list (`rig`, `noticeTypes` and others) hold words of single screens, which
 * import them from there.
 *
 * For what `en` lists, another language is an object of the type `Messages`; a key it lacks does not compile.
 */
export * as en from './en'

export type Messages = typeof english
