/** No two exported types, interfaces or classes have the same name: a name found is the thing that was looked for. */
import { readdirSync, readFileSync } from 'node:fs'
import { parseAst } from 'vite'
import { expect, test } from 'vitest'

const NAMED = new Set([
  'TSInterfaceDeclaration',
  'TSTypeAliasDeclaration',
  'TSEnumDeclaration',
  'ClassDeclaration',
])

// The price book's aliases in `domain/quotes/book.ts`.
const ALIASED = new Set(['PriceBook', 'ShopPrices'])

function typesIn(file: string): string[] {
  const text = readFileSync(new URL(file, import.meta.url), 'utf8')
  const { body } = parseAst(text, { lang: file.endsWith('x') ? 'tsx' : 'ts' })
  return body.flatMap((node) => {
    const declared = node.type === 'ExportNamedDeclaration' ? node.declaration : null
    return declared && NAMED.has(declared.type) && 'id' in declared
      ? [(declared.id as { name: string }).name]
      : []
  })
}

test('no two exported types have the same name', () => {
  const files = readdirSync(new URL('.', import.meta.url), { recursive: true, encoding: 'utf8' }).filter(
    (name) => /\.tsx?$/.test(name) && !/\.test\.|\.d\.ts$/.test(name),
  )
  const names = files.flatMap(typesIn)
  expect(names.length).toBeGreaterThan(400)
  expect(names.filter((name, at) => names.indexOf(name) !== at && !ALIASED.has(name))).toEqual([])
})
