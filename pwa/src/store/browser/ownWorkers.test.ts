// @vitest-environment happy-dom
import { afterEach, expect, test, vi } from 'vitest'
import { allowOwnWorkers } from './ownWorkers'

afterEach(() => vi.unstubAllGlobals())

test('only workers of this app are started by address', () => {
  const createPolicy = vi.fn()
  vi.stubGlobal('trustedTypes', { createPolicy })
  vi.stubGlobal('location', new URL('https://shop.example/jobs/1'))
  allowOwnWorkers()
  const [name, rules] = createPolicy.mock.calls[0] ?? []
  expect([name, Object.keys(rules)]).toEqual(['default', ['createScriptURL']])
  for (const url of ['/sw.js', 'https://shop.example/assets/worker-B7x_1-a.js'])
    expect(rules.createScriptURL(url)).toBe(url)
  for (const url of [
    'https://other.example/sw.js',
    '//other.example/sw.js',
    'data:text/javascript,1',
    '/api/v1/attachments/a/voice',
    '/assets/a.js/../../api/v1/a',
    '/ask/sw.js',
  ])
    expect(rules.createScriptURL(url), url).toBeNull()
})

test('a browser without Trusted Types needs no policy', () => {
  vi.stubGlobal('trustedTypes', undefined)
  expect(allowOwnWorkers).not.toThrow()
})
