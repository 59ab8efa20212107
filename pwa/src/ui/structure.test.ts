import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative } from 'node:path'
import { parseAst } from 'vite'
import { expect, test } from 'vitest'
import { buildPath, parseRoute, type Route } from './router'
import { ROUTES } from './screens/routes'

const UI = import.meta.dirname
const FILES = readdirSync(UI, { recursive: true, encoding: 'utf8' }).filter(
  (file) => /\.tsx?$/u.test(file) && !/\.test\.tsx?$/u.test(file),
)
/** The imports among the files below `ui`, static and dynamic. */
const IMPORTS = new Map(FILES.map((file) => [file, importsOf(file)]))

/** The paths of all static and dynamic imports and re-exports. */
function sourcesIn(part: unknown): string[] {
  if (typeof part !== 'object' || part === null) return []
  if (Array.isArray(part)) return part.flatMap(sourcesIn)
  const { source } = part as { source?: { type: string; value?: unknown } | null }
  const own = typeof source?.value === 'string' && source.value.startsWith('.') ? [source.value] : []
  return [...own, ...Object.values(part).flatMap(sourcesIn)]
}

function importsOf(file: string): string[] {
  const { body } = parseAst(readFileSync(join(UI, file), 'utf8'), { lang: file.endsWith('x') ? 'tsx' : 'ts' })
  return sourcesIn(body).flatMap((path) => {
    const target = relative(UI, join(UI, dirname(file), path))
    return FILES.filter((each) => each.replace(/\.tsx?$/u, '') === target)
  })
}

/** The folder of a file: `screens/jobs` for `screens/jobs/Job.tsx`. */
const areaOf = (file: string) => /^(?:screens|features)\/\w+(?=\/)/u.exec(file)?.[0]

const crossings = [...IMPORTS].flatMap(([from, targets]) =>
  targets.map((to) => ({ from: areaOf(from), to: areaOf(to), words: `${from} imports ${to}` })),
)

/** An address with every parameter filled in, once per allowed value of an enumeration. */
function filled(pattern: string): string[] {
  const value = /:(\w+)(?:\(([^)]+)\))?/u.exec(pattern)
  if (!value) return [pattern]
  const [whole, name, words] = value
  return (words?.split('|') ?? [`some-${name}`]).flatMap((word) => filled(pattern.replace(whole, word)))
}

test.each(Object.entries(ROUTES))('%s has an address that parses to it', (at, [pattern]) => {
  const [bare = ''] = pattern.split('?')
  const paths = [...filled(pattern), ...filled(bare)]
  for (const path of paths) {
    const place: Route = parseRoute(new URL(path, 'https://shop.example'))
    expect(place.at).toBe(at)
    expect(buildPath(place)).toBe(path)
  }
})

test('every screen is in the route table or covers all screens', () => {
  const reached = new Set<string>()
  const waiting = ['screens/routes.ts', 'app.tsx']
  for (const file of waiting)
    if (!reached.has(file)) {
      reached.add(file)
      waiting.push(...(IMPORTS.get(file) ?? []))
    }
  expect(FILES.filter((file) => file.startsWith('screens/') && !reached.has(file))).toEqual([])
})

test('an area imports no other area, and a feature no screen', () => {
  const violations = crossings.filter(({ from, to }) => from && to?.startsWith('screens/') && from !== to)
  expect(crossings.length).toBeGreaterThan(300)
  expect(violations.map(({ words }) => words)).toEqual([])
})

test('features have no import cycle', () => {
  const left = new Map<string, Set<string>>()
  for (const { from, to } of crossings)
    if (from?.startsWith('features/') && to && from !== to)
      left.set(from, (left.get(from) ?? new Set()).add(to))
  const isFree = (feature: string) => ![...(left.get(feature) ?? [])].some((to) => left.has(to))
  for (let free = [...left.keys()].filter(isFree); free.length > 0; free = [...left.keys()].filter(isFree))
    for (const feature of free) left.delete(feature)
  expect([...left]).toEqual([])
})
