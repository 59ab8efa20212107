// Lets Node read the app's sources as they are; import it before them.
import { registerHooks } from 'node:module'

// The app's sources name each other without an ending, as its bundler wants them.
registerHooks({
  resolve(specifier, context, next) {
    const isBare = specifier.startsWith('.') && !/\.(ts|mts|json)$/.test(specifier)
    return next(isBare ? `${specifier}.ts` : specifier, context)
  },
})
