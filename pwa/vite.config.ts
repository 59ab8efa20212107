import { defineConfig } from 'vite'
import about from './package.json' with { type: 'json' }
import { shellWorker } from './shell-worker.ts'

export default defineConfig({
  define: { __BUILD__: JSON.stringify(about.version) },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [shellWorker({ entry: 'src/sw/sw.ts' })],
  build: {
    target: 'es2023',
    // What the app starts with is one file, so that there is nothing to ask for ahead of it.
    modulePreload: false,
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: 'start', tags: ['$initial'] },
            // What several areas use is one file: each by itself packs worse.
            { name: 'shared', test: /\/src\//, minShareCount: 2 },
          ],
        },
      },
    },
    assetsInlineLimit: 0,
  },
  worker: { format: 'es' },
  server: { proxy: { '/api': 'http://127.0.0.1:8000' } },
})
