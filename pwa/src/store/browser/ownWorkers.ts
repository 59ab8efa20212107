/** The part used here of https://developer.mozilla.org/docs/Web/API/TrustedTypePolicyFactory. */
interface PolicyFactory {
  createPolicy(name: string, rules: { createScriptURL: (url: string) => string | null }): unknown
}

const WORKER = /^\/(?:sw|assets\/[\w.-]+)\.js$/

/**
 * Lets the page start its workers, and no other script, by address. Under `require-trusted-types-for 'script'` the
 * browser asks the policy named `default`; what has no rule here, such as HTML given as text, is a TypeError.
 */
export function allowOwnWorkers(): void {
  const { trustedTypes } = globalThis as { trustedTypes?: PolicyFactory }
  trustedTypes?.createPolicy('default', {
    createScriptURL: (url) => {
      const { origin, pathname } = new URL(url, location.href)
      return origin === location.origin && WORKER.test(pathname) ? url : null
    },
  })
}
