import { defineConfig } from 'vite'
import about from './package.json' with { type: 'json' }
import { shellWorker } from './shell-worker.ts'

export default defineConfig({
  define: { __BUILD__: JSON.stringify(about.version) },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [shellWorker({ entry: 'src/sw/sw.ts' })],
  build: { target: 'es2023', modulePreload: { polyfill: false }, assetsInlineLimit: 0 },
  worker: { format: 'es' },
  server: { proxy: { '/api': 'http://127.0.0.1:8000' } },
})
