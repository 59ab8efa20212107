import { defineConfig } from 'vitest/config'

export default defineConfig({
  define: { __BUILD__: '"test"' },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    include: ['src/**/*.test.{ts,tsx}'],
    environment: 'node',
    setupFiles: ['./vitest.setup.ts'],
  },
})
