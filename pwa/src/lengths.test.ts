/** A screen is at most 150 lines and a function at most 60, in what is drawn, stored and decided. */
import { readdirSync, readFileSync } from 'node:fs'
import { parseAst } from 'vite'
import { expect, test } from 'vitest'

const FOLDERS = ['ui', 'store', 'domain']
const MOST_OF_A_SCREEN = 150
const MOST_OF_A_FUNCTION = 60
const FUNCTIONS = new Set(['FunctionDeclaration', 'FunctionExpression', 'ArrowFunctionExpression'])

/** Longer than that still. A line here is taken out as soon as it is not needed: it fails then. */
const LONG_SCREENS: readonly string[] = []
const LONG_FUNCTIONS: readonly string[] = []

interface Node {
  type: string
  start: number
  end: number
  id?: { name: string } | null
}

const files = FOLDERS.flatMap((folder) =>
  readdirSync(new URL(folder, import.meta.url), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name) && !/\.test\.|\.d\.ts$/.test(name))
    .map((name) => `${folder}/${name}`)
    .sort(),
)

const read = (file: string) => readFileSync(new URL(file, import.meta.url), 'utf8')

/** The functions of a file that are too long, by the name they were given where they are declared. */
function longFunctions(file: string): string[] {
  const text = read(file)
  // No function is longer than its file: most files need no reading of their syntax.
  if (text.split('\n').length <= MOST_OF_A_FUNCTION) return []
  const lines = ({ start, end }: Node) => text.slice(start, end).split('\n').length
  const found: string[] = []
  const look = (part: unknown, name: string): void => {
    if (typeof part !== 'object' || part === null) return
    if (Array.isArray(part)) {
      for (const each of part) look(each, name)
      return
    }
    const node = part as Node
    const named = node.id?.name ?? name
    if (FUNCTIONS.has(node.type) && lines(node) > MOST_OF_A_FUNCTION) found.push(`${file} ${named}`)
    for (const inner of Object.values(node)) look(inner, named)
  }
  look(parseAst(text, { lang: file.endsWith('x') ? 'tsx' : 'ts' }).body, '')
  return found
}

test('no screen is longer than one can read at a sitting', () => {
  const long = files.filter(
    (file) => file.endsWith('.tsx') && read(file).trimEnd().split('\n').length > MOST_OF_A_SCREEN,
  )
  expect(long).toEqual(LONG_SCREENS)
})

test('no function is longer than a screen of code', () => {
  expect(files.length).toBeGreaterThan(200)
  expect(files.flatMap(longFunctions)).toEqual(LONG_FUNCTIONS)
}, 60_000)
