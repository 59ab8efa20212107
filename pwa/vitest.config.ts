import { defineConfig } from 'vitest/config'

export default defineConfig({
  define: { __BUILD__: '"test"' },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    include: ['src/**/*.test.{ts,tsx}'],
    environment: 'node',
    setupFiles: ['./vitest.setup.ts'],
    // With --coverage; `.ci/coverage_table.py` prints the summary.
    coverage: {
      provider: 'v8',
      include: ['src/**/*.{ts,tsx}'],
      exclude: ['src/api/schema.ts', '**/*.d.ts', '**/*.test.{ts,tsx}'],
      reporter: ['json-summary'],
      reportsDirectory: '../var/test/coverage/typescript',
    },
  },
})
