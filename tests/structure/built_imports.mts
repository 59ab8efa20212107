// Prints which scripts each of the built scripts given imports at once; one that is imported when needed is left out.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { basename } from 'node:path'

const { parseAst } = createRequire(new URL('../../pwa/package.json', import.meta.url))('vite')

const importsOf = (file: string) =>
  parseAst(readFileSync(file, 'utf8'), { lang: 'js' }).body.flatMap((node: { source?: { value: string } | null }) =>
    node.source ? [node.source.value] : [],
  )

const files = process.argv.slice(2)
process.stdout.write(JSON.stringify(Object.fromEntries(files.map((file) => [basename(file), importsOf(file)]))))
