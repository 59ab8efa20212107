import { createHash } from 'node:crypto'
import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { build, type Plugin } from 'vite'

/** Vite puts a hash of the content into the names below this folder; such a name is its own revision. */
const HASHED = 'assets/'

/**
 * Builds the service worker after the app, with the list of the app's files baked in as `__SHELL__`.
 * The page itself is listed as `/`, because that is the address people open. Files whose name matches `desk` are listed
 * as `__DESK__` instead: a device stores them once it has opened the desk.
 */
export function shellWorker({ entry, desk }: { entry: string; desk: RegExp }): Plugin {
  return {
    name: 'shell-worker',
    apply: 'build',
    async writeBundle({ dir }) {
      if (dir === undefined) throw new Error('the app must be written to a folder')
      const files = (await readdir(dir, { recursive: true, withFileTypes: true }))
        .filter((found) => found.isFile())
        .map((found) => join(found.parentPath, found.name).slice(dir.length + 1))
        .filter((name) => name !== 'sw.js' && name !== 'robots.txt' && !name.endsWith('.map'))
        .sort()
      const shell = await Promise.all(
        files
          .filter((name) => !desk.test(name))
          .map(async (name) => ({
            url: name === 'index.html' ? '/' : `/${name}`,
            revision: name.startsWith(HASHED)
              ? null
              : createHash('sha256')
                  .update(await readFile(join(dir, name)))
                  .digest('hex')
                  .slice(0, 16),
          })),
      )
      await build({
        configFile: false,
        logLevel: 'warn',
        publicDir: false,
        define: {
          __SHELL__: JSON.stringify(shell),
          __DESK__: JSON.stringify(files.filter((name) => desk.test(name)).map((name) => `/${name}`)),
          'process.env.NODE_ENV': '"production"',
        },
        build: {
          outDir: dir,
          emptyOutDir: false,
          target: 'es2023',
          rolldownOptions: { input: entry, output: { entryFileNames: 'sw.js', format: 'iife' } },
        },
      })
    },
  }
}
