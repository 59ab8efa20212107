// Prints the words of a hand-over as the phone has them, for their twins on the server's sheet.
import { registerHooks } from 'node:module'

// The app's sources leave out the ending of what they import.
registerHooks({
  resolve: (specifier, context, next) =>
    next(/^\..*\/[^./]+$/u.test(specifier) ? `${specifier}.ts` : specifier, context),
})
const { hand } = await import('../../pwa/src/domain/words/handover.ts')
process.stdout.write(JSON.stringify(hand))
