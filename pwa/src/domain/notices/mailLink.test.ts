import { expect, test } from 'vitest'
import { mailLink } from './mailLink'

test('a mail link reads back as RFC 6068 says, whatever is in it', () => {
  const link = mailLink('winnie+mow@stroud.example', 'tiller & mower?', 'first\nsecond & 50 %')
  expect(link).toBe(
    'mailto:winnie%2Bmow@stroud.example?subject=tiller%20%26%20mower%3F&body=first%0D%0Asecond%20%26%2050%20%25',
  )
  const url = new URL(link)
  expect(decodeURIComponent(url.pathname)).toBe('winnie+mow@stroud.example')
  expect([...url.searchParams]).toEqual([
    ['subject', 'tiller & mower?'],
    ['body', 'first\r\nsecond & 50 %'],
  ])
})
