/**
 * No file imports itself by way of others, types included. `import()` is left out: code that is loaded later may
 * import what loads it.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { posix } from 'node:path'
import { parseAst } from 'vite'
import { expect, test } from 'vitest'

const FROM = new Set(['ImportDeclaration', 'ExportNamedDeclaration', 'ExportAllDeclaration'])
const ENDINGS = ['', '.ts', '.tsx', '/index.ts']

type Graph = ReadonlyMap<string, readonly string[]>

const files = new Set(
  readdirSync(new URL('.', import.meta.url), { recursive: true, encoding: 'utf8' })
    .map((name) => name.replaceAll('\\', '/'))
    .filter((name) => /\.tsx?$/.test(name) && !/\.test\.|\.d\.ts$/.test(name)),
)

function importsOf(file: string): string[] {
  const text = readFileSync(new URL(file, import.meta.url), 'utf8')
  const { body } = parseAst(text, { lang: file.endsWith('x') ? 'tsx' : 'ts' })
  return body.flatMap((node) => {
    const path = FROM.has(node.type) && 'source' in node ? String(node.source?.value ?? '') : ''
    if (!path.startsWith('.')) return []
    const target = posix.join(posix.dirname(file), path)
    return ENDINGS.map((ending) => target + ending).filter((each) => files.has(each))
  })
}

/** The first cycle found, as the files in order of import; null where there is none. */
function findCycle(graph: Graph): string[] | null {
  const done = new Set<string>()
  const visit = (file: string, path: readonly string[]): string[] | null => {
    if (path.includes(file)) return [...path.slice(path.indexOf(file)), file]
    if (done.has(file)) return null
    for (const next of graph.get(file) ?? []) {
      const cycle = visit(next, [...path, file])
      if (cycle) return cycle
    }
    done.add(file)
    return null
  }
  for (const file of graph.keys()) {
    const cycle = visit(file, [])
    if (cycle) return cycle
  }
  return null
}

test('no file imports itself by way of others, also not for types', () => {
  const graph: Graph = new Map([...files].map((file) => [file, importsOf(file)]))
  expect(graph.size).toBeGreaterThan(300)
  expect([...graph.values()].flat().length).toBeGreaterThan(1500)
  expect(findCycle(graph)).toBeNull()
}, 60_000)

test('a cycle is found', () => {
  const graph = new Map([
    ['a', ['b']],
    ['b', ['c', 'd']],
    ['c', []],
    ['d', ['b']],
  ])
  expect(findCycle(graph)).toEqual(['b', 'd', 'b'])
})
