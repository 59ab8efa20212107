import { defineConfig, type Plugin } from 'vite'
import about from './package.json' with { type: 'json' }
import { shellWorker } from './shell-worker.ts'

/**
 * The one style sheet is there from the start, so Vite's helper that fetches styles ahead of scripts has nothing to do, and
 * its call around each import is left out: with a screen in every line of `routes.ts` it is 1 kB of the start.
 */
const plainImports: Plugin = {
  name: 'plain-imports',
  apply: 'build',
  configResolved({ plugins }) {
    const at = plugins.findIndex(({ name }) => name === 'native:import-analysis-build')
    if (at < 0) throw new Error('Vite wraps imports elsewhere than it did: see plain-imports')
    ;(plugins as Plugin[]).splice(at, 1)
  },
}

const AREA = /\/ui\/screens\/(\w+)\//
const areaOf = (file: string) => AREA.exec(file)?.[1]

const REPLAY = /\/store\/replay\/areas\/(\w+)\.ts$/
const replayOf = (file: string) => `replay.${REPLAY.exec(file)?.[1]}`

const OWN_CODE = /\/src\//
/** In the files of their screens; and what only the desk uses, in the desk's. */
const LOADED_APART = /\/ui\/(?:screens|desk)\/|\/(?:board|KeyCaps|week|weekRows|everything)[./]/
/** The files of the desk, which a phone neither loads nor stores. */
const DESK_FILE = /^assets\/(?:desk|boardRules|board|week)-/

export default defineConfig({
  define: { __BUILD__: JSON.stringify(about.version) },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [plainImports, shellWorker({ entry: 'src/sw/sw.ts', desk: DESK_FILE })],
  build: {
    target: 'es2023',
    // What the app starts with is one file, so that there is nothing to ask for ahead of it.
    modulePreload: false,
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: 'start', tags: ['$initial'] },
            // Each by itself: the app may wait for one of them before it shows anything.
            { name: replayOf, debugName: 'replays', test: REPLAY },
            // All that screens use and that loads later is one file: it packs better than a file for each part.
            { name: 'shared', test: (file) => OWN_CODE.test(file) && !LOADED_APART.test(file) },
            // Loaded on wide screens only. A group takes along what its files import: this one after what all share.
            { name: 'desk', test: /\/src\/ui\/desk\// },
            // Used on wide screens only.
            { name: 'boardRules', test: /\/src\/(?:domain|store)\/(?:\w+\/)?board[/.]/ },
            { name: areaOf, debugName: 'areas', test: AREA },
          ],
        },
      },
    },
    assetsInlineLimit: 0,
  },
  worker: { format: 'es' },
  server: { proxy: { '/api': 'http://127.0.0.1:8000' } },
})
