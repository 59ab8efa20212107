// Prints the words of a hand-over as the phone shows them to customers, by language, for their twins on the server's sheet.
import { registerHooks } from 'node:module'

// The app's sources leave out the ending of what they import.
registerHooks({
  resolve(specifier, context, next) {
    if (!/^\.{1,2}\//u.test(specifier) || specifier.endsWith('.ts')) return next(specifier, context)
    return next(`${specifier}${specifier.endsWith('/reader') ? '/index' : ''}.ts`, context)
  },
})
const { READER_WORDS } = await import('../../pwa/src/domain/words/reader/index.ts')
const words = Object.entries(READER_WORDS).map(([language, { hand }]) => [language, hand])
process.stdout.write(JSON.stringify(Object.fromEntries(words)))
