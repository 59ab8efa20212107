import { expect, test } from 'vitest'
import { proof } from '../../api/client'
import { proofAsked } from './proof'

test('requests that need it at the same time are answered by one question', async () => {
  const both = [proof.ask?.(), proof.ask?.()]
  proofAsked.value?.(true)
  expect(await Promise.all(both)).toEqual([true, true])
  expect(proofAsked.value).toBeNull()
  const later = proof.ask?.()
  proofAsked.value?.(false)
  expect(await later).toBe(false)
})
