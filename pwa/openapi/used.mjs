/**
 * Prints the API document cut down to the schemas that the app names, and those that they refer to. Rows of nouns, as
 * syncing brings them, are left open: their types are in the contract.
 */
import { readdirSync, readFileSync } from 'node:fs'

const SRC = new URL('../src/', import.meta.url)
const OWN = 'api/schema.ts'
const { components, ...document } = JSON.parse(readFileSync(new URL('openapi.json', import.meta.url), 'utf8'))

components.schemas.Rows = { type: 'object' }
const names = new Set()
const take = (name) => {
  const schema = components.schemas[name]
  if (!schema || names.has(name)) return
  names.add(name)
  for (const [, inner] of JSON.stringify(schema).matchAll(/#\/components\/schemas\/([^"]+)/g)) take(inner)
}
for (const file of readdirSync(SRC, { recursive: true, encoding: 'utf8' }))
  if (/\.tsx?$/.test(file) && file.replaceAll('\\', '/') !== OWN)
    for (const [, name] of readFileSync(new URL(file, SRC), 'utf8').matchAll(/\bSchema(\w+)/g)) take(name)

const schemas = Object.fromEntries(Object.entries(components.schemas).filter(([name]) => names.has(name)))
process.stdout.write(JSON.stringify({ ...document, paths: {}, components: { schemas } }))
